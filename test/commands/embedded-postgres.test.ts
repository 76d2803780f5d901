import { spawn } from "node:child_process";
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import pg from "pg";
import { afterEach, describe, expect, it } from "vitest";
import { type EmbeddedPostgres, start } from "../../src/commands/embedded-postgres.ts";

const folders: string[] = [];
const servers: EmbeddedPostgres[] = [];

function newFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "forewheel-embedded-"));
  chmodSync(folder, 0o755);
  folders.push(folder);
  return folder;
}

async function started(folder: string): Promise<EmbeddedPostgres> {
  const server = await start(join(folder, "postgres"), { fast: true });
  servers.push(server);
  return server;
}

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

afterEach(async () => {
  for (const server of servers.splice(0)) await server.stop(true);
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

describe("the embedded PostgreSQL", () => {
  it("runs in UTC, sorts by code point, listens on the loopback alone and asks for its password", async () => {
    const server = await started(newFolder());
    expect(await ask(server.ownerUrl, "show timezone")).toBe("UTC");
    expect(await ask(server.ownerUrl, "show listen_addresses")).toBe("127.0.0.1");
    expect(
      await ask(
        server.ownerUrl,
        "select string_agg(x, '' order by x) from unnest('{b,B,a}'::text[]) x",
      ),
    ).toBe("Bab");
    expect(await ask(server.ownerUrl, "select upper('é')")).toBe("É");
    const stranger = new URL(server.ownerUrl);
    stranger.password = "guessed";
    await expect(ask(stranger.href, "select 1")).rejects.toThrow(/password authentication failed/);
  });

  it("finds its data again after a stop", async () => {
    const folder = newFolder();
    const first = await started(folder);
    await ask(first.ownerUrl, "create table kept as select 1000 as km");
    await first.stop();
    expect(await first.ended).toBe(0);
    const second = await started(folder);
    expect(await ask(second.ownerUrl, "select km from kept")).toBe(1000);
  });

  it("leaves alone a process that was given the number in a stale lock file", async () => {
    const folder = newFolder();
    const first = await started(folder);
    await first.stop();
    const bystander = spawn(process.execPath, ["-e", "setTimeout(() => {}, 60000)"]);
    const lock = join(folder, "postgres", "postmaster.pid");
    writeFileSync(lock, `${bystander.pid}\n${join(folder, "postgres")}\n0\n5432\n\n\n\n`);
    const second = await started(folder);
    expect(await ask(second.ownerUrl, "select 1")).toBe(1);
    expect(bystander.exitCode).toBeNull();
    expect(bystander.signalCode).toBeNull();
    bystander.kill();
  });

  it("says why it did not start", async () => {
    const folder = newFolder();
    const first = await started(folder);
    await first.stop();
    writeFileSync(join(folder, "postgres", "postgresql.conf"), "wheels = round\n");
    await expect(started(folder)).rejects.toThrow(/unrecognized configuration parameter "wheels"/);
  });

  it.runIf(process.getuid?.() === 0)(
    "moves its data where its own user can reach them when root keeps the folder private",
    async () => {
      const folder = newFolder();
      chmodSync(folder, 0o700);
      const said: string[] = [];
      const server = await start(join(folder, "postgres"), {
        fast: true,
        say: (sentence) => said.push(sentence),
      });
      servers.push(server);
      const home = /its data lie in (\S+),/.exec(said[0] ?? "")?.[1];
      expect(home).toBeDefined();
      folders.push(home ?? "");
      expect(await ask(server.ownerUrl, "show data_directory")).toBe(join(home ?? "", "data"));
    },
  );
});
