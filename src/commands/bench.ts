import { fork } from "node:child_process";
import { once } from "node:events";
import { Agent } from "node:http";
import { fileURLToPath } from "node:url";
import pg from "pg";
import { connect } from "../database/client.ts";
import { type Filled, fill } from "./bench/fill.ts";
import { forecastCost } from "./bench/forecast-cost.ts";
import { importRate } from "./bench/import-rate.ts";
import { listRounds } from "./bench/list-rate.ts";
import { ask, type Measured, type Shot, shoot } from "./bench/load.ts";
import {
  fullForecasts,
  type LoopBlocks,
  thousandForecasts,
  watchLoop,
} from "./bench/loop-block.ts";
import { type ServerName, startServer } from "./bench/servers.ts";
import { linesOf, type Rounds, type Summary, summaryOf } from "./bench/summary.ts";
import { beginTrace, endTrace, installTrace, type Trace } from "./bench/trace.ts";
import { type OwnDatabase, withOwnDatabase } from "./own-database.ts";

const SERVERS: readonly ServerName[] = ["bare", "guarded", "product"];
const ROUNDS = 3;
const LOAD = { connections: 8, seconds: 4 };
const WARM_UP = { connections: 8, seconds: 2 };
const TRACED = { connections: 1, seconds: 2 };
const MACHINES = 40;

const serve = process.env.FOREWHEEL_BENCH_SERVER as ServerName | undefined;
if (serve) await runServer(serve, String(process.env.FOREWHEEL_BENCH_URL));
else await measure(process.argv.includes("--json"));

/** A server in a process of its own; the parent asks it to trace, or to watch its event loop. */
async function runServer(name: ServerName, appUrl: string): Promise<void> {
  const port = await startServer(name, appUrl);
  let watched = () => 0;
  process.on("message", (message) => {
    if (message === "begin") {
      installTrace();
      beginTrace();
      process.send?.({});
    }
    if (message === "end") process.send?.({ trace: endTrace() });
    if (message === "watch") {
      watched = watchLoop();
      process.send?.({});
    }
    if (message === "watched") process.send?.({ longestMs: watched() });
  });
  process.on("disconnect", () => process.exit(0));
  process.send?.({ port });
}

interface Server {
  name: ServerName;
  port: number;
  process: ReturnType<typeof fork>;
}

async function measure(json: boolean): Promise<void> {
  const say = (line: string) => void (json || console.log(line));
  const summary = await withOwnDatabase("bench", { say }, (database) => measureOn(database, say));
  console.log(json ? JSON.stringify(summary, null, 2) : linesOf(summary).join("\n"));
}

async function measureOn(
  { ownerUrl, appUrl }: OwnDatabase,
  say: (line: string) => void,
): Promise<Summary> {
  const owner = new pg.Client({ connectionString: ownerUrl });
  const servers: Server[] = [];
  try {
    say("- filling the database");
    await owner.connect();
    const filled = await prepare(appUrl, owner);
    for (const name of SERVERS) servers.push(await forkServer(name, appUrl));
    const next = shotsFor(filled);
    const rounds = await measureRounds(servers, next, () => tidy(owner), say);
    say("- one request at a time, traced");
    const traced = await traceProduct(servers[2] as Server, next);
    await requireAccepted(owner);
    say("- forecasts of many machines");
    const blocks = await blocksOf(servers[2] as Server, filled.key);
    say("- imports and lists");
    // The one that was traced has its statements wrapped.
    const untraced = await forkServer("product", appUrl);
    servers.push(untraced);
    const imports = await importRate(untraced.port, filled.key, owner);
    const ports = { bare: (servers[0] as Server).port, product: untraced.port };
    const lists = await listRounds(ports, filled.key, owner);
    return summaryOf({ rounds, traced, forecast: forecastCost(), blocks, imports, lists });
  } finally {
    for (const { process: child } of servers) child.kill("SIGKILL");
    await owner.end();
  }
}

async function prepare(appUrl: string, owner: pg.Client): Promise<Filled> {
  await owner.query(`create table bench_reading (account_id uuid, at timestamptz not null, value float8 not null);
    alter table bench_reading enable row level security, force row level security;
    create policy own on bench_reading using (account_id is null or account_id = (select current_account()));
    grant select, insert on bench_reading to forewheel_app`);
  const connections = connect(appUrl, { connections: 4, onBroken: () => {} });
  const filled = await fill(connections, MACHINES);
  await connections.close();
  await owner.query("create table bench_filled as select now() as at");
  return filled;
}

/**
 * Takes out what a round posted, so that every round meets machines of the same fifteen readings,
 * and tells the planner how large the tables are, as a server that runs for an hour has by itself.
 */
async function tidy(owner: pg.Client): Promise<void> {
  await requireAccepted(owner);
  await owner.query("delete from reading where created_at > (select at from bench_filled)");
  await owner.query("truncate bench_reading");
  await owner.query("vacuum (analyze)");
}

/** A reading that is held costs less than one that counts. */
async function requireAccepted(owner: pg.Client): Promise<void> {
  const { rows } = await owner.query("select 1 from reading where status <> 'accepted' limit 1");
  if (rows.length > 0) throw new Error("A reading was held: the bench must post acceptable ones.");
}

async function forkServer(name: ServerName, appUrl: string): Promise<Server> {
  const env = { ...process.env, FOREWHEEL_BENCH_SERVER: name, FOREWHEEL_BENCH_URL: appUrl };
  const child = fork(fileURLToPath(import.meta.url), [], { env });
  const [{ port }] = (await once(child, "message")) as [{ port: number }];
  return { name, port, process: child };
}

/** Readings that rise by a hectometre each, so that all are accepted, each with a key of its own. */
function shotsFor({ key, vehicleIds, lastKm }: Filled): () => Shot {
  let count = 0;
  return () => {
    const vehicle = vehicleIds[count % vehicleIds.length];
    const value = lastKm + Math.floor(count / vehicleIds.length) * 0.1;
    count += 1;
    return {
      path: `/v1/vehicles/${vehicle}/readings`,
      headers: {
        authorization: `Bearer ${key}`,
        "idempotency-key": `bench-${process.pid}-${count}`,
      },
      body: JSON.stringify({ value: Math.round(value * 10) / 10, source: "device" }),
    };
  };
}

async function measureRounds(
  servers: readonly Server[],
  next: () => Shot,
  between: () => Promise<void>,
  say: (line: string) => void,
): Promise<Rounds> {
  const rounds: Rounds = { bare: [], guarded: [], product: [] };
  await between();
  for (const { port } of servers) await shoot(port, next, WARM_UP);
  for (let round = 1; round <= ROUNDS; round += 1) {
    await between();
    for (const { name, port } of servers) {
      say(`- round ${round} of ${ROUNDS}, ${name}`);
      rounds[name].push(await shoot(port, next, LOAD));
    }
  }
  await between();
  return rounds;
}

async function traceProduct(
  { port, process: child }: Server,
  next: () => Shot,
): Promise<{ load: Measured; trace: Trace }> {
  child.send("begin");
  await once(child, "message");
  const load = await shoot(port, next, TRACED);
  child.send("end");
  const [{ trace }] = (await once(child, "message")) as [{ trace: Trace }];
  return { load, trace };
}

async function blocksOf(server: Server, key: string): Promise<LoopBlocks> {
  const longest = async (body: string): Promise<number> => {
    const agent = new Agent();
    const headers = { authorization: `Bearer ${key}` };
    server.process.send("watch");
    await once(server.process, "message");
    const status = await ask(agent, server.port, { path: "/v1/forecasts", headers, body });
    if (status !== 200) throw new Error(`The forecasts were answered with ${status}.`);
    server.process.send("watched");
    const [{ longestMs }] = (await once(server.process, "message")) as [{ longestMs: number }];
    return longestMs;
  };
  return {
    forecastsMs: await longest(thousandForecasts()),
    fullBodyMs: await longest(fullForecasts()),
  };
}
