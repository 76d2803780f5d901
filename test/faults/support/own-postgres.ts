import { randomBytes } from "node:crypto";
import { rmSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import pg from "pg";
import { start } from "../../../src/commands/embedded-postgres.ts";
import { freePort } from "../../../src/commands/free-port.ts";
import { migrate } from "../../../src/commands/migrate.ts";
import { makeHome } from "../../support/home.ts";
import type { StageDatabase } from "./stage.ts";

/** A PostgreSQL that a test may take away; what it has acknowledged it keeps. */
export interface OwnPostgres extends StageDatabase {
  /** Ends all sessions and stops; at once, as in a crash, where told. */
  leave(crash?: boolean): Promise<void>;
  comeBack(): Promise<void>;
  /** Ends the sessions of the application, as an administrator would. */
  endSessions(): Promise<number>;
}

export async function ownPostgres(): Promise<OwnPostgres> {
  const home = makeHome();
  const port = await freePort();
  const folder = join(home, "postgres");
  let server = await start(folder, { port });
  const appPassword = randomBytes(16).toString("hex");
  await migrate(server.ownerUrl, appPassword);
  const app = new URL(server.ownerUrl);
  app.username = "forewheel_app";
  app.password = appPassword;
  return {
    ownerUrl: server.ownerUrl,
    appUrl: app.href,
    leave: (crash = false) => server.stop(crash),
    async comeBack() {
      server = await start(folder, { port });
    },
    async endSessions() {
      const client = new pg.Client({ connectionString: server.ownerUrl });
      await client.connect();
      const { rowCount } = await client.query(
        "select pg_terminate_backend(pid) from pg_stat_activity where usename = 'forewheel_app'",
      );
      await client.end();
      return rowCount ?? 0;
    },
    async drop() {
      await server.stop(true);
      await sleep(50);
      rmSync(home, { recursive: true });
    },
  };
}
