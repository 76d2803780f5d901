import { spawn } from "node:child_process";
import { once } from "node:events";
import { chmodSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { compilePrograms, folderInProject } from "../support/compile-commands.ts";

/** Says where its database is, then works on for as long as it is told, or for ever. */
const PROGRAM = `import { withOwnDatabase } from "./src/commands/own-database.js";
await withOwnDatabase("test", { fast: true }, async ({ appUrl }) => {
  console.log(appUrl);
  const ms = Number(process.argv[2]);
  await new Promise((resolve) => (ms > 0 ? setTimeout(resolve, ms) : setInterval(() => {}, 60000)));
});
`;

describe("a command on a database of its own", { timeout: 60_000 }, () => {
  let programs: string;
  let temporary: string;

  beforeAll(() => {
    programs = folderInProject();
    compilePrograms(programs);
    writeFileSync(join(programs, "command.js"), PROGRAM);
    temporary = mkdtempSync(join(tmpdir(), "forewheel-own-"));
    chmodSync(temporary, 0o755);
  }, 60_000);
  afterAll(() => {
    for (const folder of [programs, temporary]) rmSync(folder, { recursive: true, force: true });
  });

  async function begun(ms: number) {
    const env = { ...process.env, TMPDIR: temporary };
    const command = spawn(process.execPath, [join(programs, "command.js"), String(ms)], {
      ...{ env, stdio: ["ignore", "pipe", "inherit"] },
    });
    const exit = once(command, "exit") as Promise<[number | null, string | null]>;
    const [line] = (await once(command.stdout as NodeJS.ReadableStream, "data")) as [Buffer];
    return { command, exit, url: line.toString().trim() };
  }

  /** Accounts that the role which row-level security binds sees. */
  async function accountsAt(connectionString: string): Promise<number | null> {
    const client = new pg.Client({ connectionString });
    client.on("error", () => {});
    await client.connect();
    try {
      return (await client.query("select from account")).rowCount;
    } finally {
      await client.end();
    }
  }

  test("finds it migrated, and leaves nothing of it behind", async () => {
    const { exit, url } = await begun(2000);
    expect(await accountsAt(url)).toBe(0);
    expect((await exit)[0]).toBe(0);
    await expect(accountsAt(url)).rejects.toThrow("ECONNREFUSED");
    expect(readdirSync(temporary)).toEqual([]);
  });

  test.each([
    ["SIGINT", 130],
    ["SIGTERM", 143],
  ] as const)("leaves nothing behind where %s ends it", async (signal, code) => {
    const { command, exit, url } = await begun(0);
    expect(await accountsAt(url)).toBe(0);
    command.kill(signal);
    expect(await exit).toEqual([code, null]);
    await expect(accountsAt(url)).rejects.toThrow("ECONNREFUSED");
    expect(readdirSync(temporary)).toEqual([]);
  });
});
