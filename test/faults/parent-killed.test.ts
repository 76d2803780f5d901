import { spawn } from "node:child_process";
import { once } from "node:events";
import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import pg from "pg";
import { afterEach, describe, expect, test } from "vitest";
import { type EmbeddedPostgres, start } from "../../src/commands/embedded-postgres.ts";
import { compileCommands, folderInProject } from "../support/compile-commands.ts";
import { makeHome } from "../support/home.ts";
import { report } from "./support/report.ts";

const folders: string[] = [];
let server: EmbeddedPostgres | undefined;
afterEach(async () => {
  await server?.stop(true);
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

async function ask(url: string, sql: string): Promise<unknown> {
  const client = new pg.Client({ connectionString: url });
  client.on("error", () => {});
  await client.connect();
  try {
    const { rows } = await client.query({ text: sql, rowMode: "array" });
    return rows[0]?.[0];
  } finally {
    await client.end();
  }
}

/** A program that starts a server, says where it is and then does nothing. */
function startingProgram(): string {
  const folder = folderInProject();
  folders.push(folder);
  compileCommands(folder, "embedded-postgres.ts");
  const program = join(folder, "parent.js");
  writeFileSync(
    program,
    `import { start } from "./embedded-postgres.js";
const { ownerUrl, pid } = await start(process.argv[2], { fast: true });
console.log(JSON.stringify({ ownerUrl, pid }));
setInterval(() => {}, 60000);
`,
  );
  return program;
}

describe("the embedded database whose parent was killed", () => {
  test("comes up unaided, with all that was written", async () => {
    const home = makeHome();
    folders.push(home);
    const folder = join(home, "postgres");
    const parent = spawn(process.execPath, [startingProgram(), folder], {
      stdio: ["ignore", "pipe", "inherit"],
    });
    const [line] = (await once(parent.stdout, "data")) as [Buffer];
    const orphan = JSON.parse(line.toString()) as { ownerUrl: string; pid: number };
    await ask(orphan.ownerUrl, "create table kept as select n from generate_series(1, 600) n");
    parent.kill("SIGKILL");
    await once(parent, "exit");
    expect(await ask(orphan.ownerUrl, "select count(*)::int from kept")).toBe(600);

    const said: string[] = [];
    server = await start(folder, { fast: true, say: (sentence) => said.push(sentence) });
    expect(said).toEqual([expect.stringContaining(`process ${orphan.pid}`)]);
    const kept = Number(await ask(server.ownerUrl, "select count(*)::int from kept"));
    report({
      fault: "the embedded database's parent killed, then started again",
      ...{ backend: "-", tries: 1, due: 600, sent: kept, lost: 600 - kept, repeated: 0 },
      note: "rows written before",
    });
    expect(kept).toBe(600);
    await expect(ask(orphan.ownerUrl, "select 1")).rejects.toThrow();
  });
});
