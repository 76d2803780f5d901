import { fork } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { Agent } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import pg from "pg";
import { connect } from "../database/client.ts";
import { fit as fitDistance } from "../domain/forecast/fit.ts";
import { type Filled, fill } from "./bench/fill.ts";
import { type Measured, post, type Shot, shoot } from "./bench/load.ts";
import { type ServerName, startServer } from "./bench/servers.ts";
import { beginTrace, endTrace, installTrace, type Trace } from "./bench/trace.ts";
import { start } from "./embedded-postgres.ts";
import { migrate } from "./migrate.ts";

const SERVERS: readonly ServerName[] = ["bare", "guarded", "product"];
const ROUNDS = 3;
const LOAD = { connections: 8, seconds: 4 };
const MACHINES = 40;
const PASSWORD = "forewheel_app";

const serve = process.env.FOREWHEEL_BENCH_SERVER as ServerName | undefined;
if (serve) await runServer(serve, String(process.env.FOREWHEEL_BENCH_URL));
else await measure(process.argv.includes("--json"));

/** A server in a process of its own; the parent asks it to trace. */
async function runServer(name: ServerName, appUrl: string): Promise<void> {
  installTrace();
  const port = await startServer(name, appUrl);
  process.on("message", (message) => {
    if (message === "begin") beginTrace();
    if (message === "end") process.send?.({ trace: endTrace() });
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
  const folder = await mkdtemp(join(tmpdir(), "forewheel-bench-"));
  const database = await start(join(folder, "postgres"), { say });
  const servers: Server[] = [];
  try {
    say("- filling the database");
    const { appUrl, filled } = await prepare(database.ownerUrl);
    for (const name of SERVERS) servers.push(await forkServer(name, appUrl));
    const rounds = await measureRounds(servers, filled, say);
    const trace = await traceOne(servers[2] as Server, shotsFor(filled));
    const result = { ...summary(rounds), waits: trace.waits, trace, forecast: forecastCost() };
    if (json) console.log(JSON.stringify(result, null, 2));
    else report(result);
  } finally {
    for (const { process: child } of servers) child.kill("SIGKILL");
    await database.stop(true);
    await rm(folder, { recursive: true, force: true });
  }
}

async function prepare(ownerUrl: string): Promise<{ appUrl: string; filled: Filled }> {
  await migrate(ownerUrl, PASSWORD);
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  await owner.query(`create table bench_reading (account_id uuid, at timestamptz not null, value float8 not null);
    alter table bench_reading enable row level security, force row level security;
    create policy own on bench_reading using (account_id is null or account_id = (select current_account()));
    grant select, insert on bench_reading to forewheel_app`);
  await owner.end();
  const url = new URL(ownerUrl);
  url.username = "forewheel_app";
  url.password = PASSWORD;
  const connections = connect(url.href, { connections: 4, onBroken: () => {} });
  const filled = await fill(connections, MACHINES);
  await connections.close();
  return { appUrl: url.href, filled };
}

async function forkServer(name: ServerName, appUrl: string): Promise<Server> {
  const env = { ...process.env, FOREWHEEL_BENCH_SERVER: name, FOREWHEEL_BENCH_URL: appUrl };
  const child = fork(fileURLToPath(import.meta.url), [], { env });
  const [{ port }] = (await once(child, "message")) as [{ port: number }];
  return { name, port, process: child };
}

/** Readings that rise by a kilometre each, so that all are accepted, each with a key of its own. */
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

type Rounds = Record<ServerName, Measured[]>;

async function measureRounds(
  servers: readonly Server[],
  filled: Filled,
  say: (line: string) => void,
): Promise<Rounds> {
  const rounds: Rounds = { bare: [], guarded: [], product: [] };
  const next = shotsFor(filled);
  for (const { port } of servers) await shoot(port, next, { ...LOAD, seconds: 2 });
  for (let round = 1; round <= ROUNDS; round += 1) {
    for (const { name, port } of servers) {
      say(`- round ${round} of ${ROUNDS}, ${name}`);
      rounds[name].push(await shoot(port, next, LOAD));
    }
  }
  return rounds;
}

async function traceOne({ port, process: child }: Server, next: () => Shot): Promise<Trace> {
  const agent = new Agent({ keepAlive: true });
  const shot = next();
  const fresh = {
    ...shot,
    headers: { ...shot.headers, "idempotency-key": `trace-${process.pid}` },
  };
  child.send("begin");
  await post(agent, port, { ...fresh, body: JSON.stringify({ value: 900_000, source: "device" }) });
  child.send("end");
  const [{ trace }] = (await once(child, "message")) as [{ trace: Trace }];
  agent.destroy();
  return trace;
}

function summary(rounds: Rounds) {
  const median = (values: number[]) =>
    values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
  const of = (name: ServerName) => ({
    rate: median(rounds[name].map(({ rate }) => rate)),
    p50Ms: median(rounds[name].map(({ p50Ms }) => p50Ms)),
    p99Ms: median(rounds[name].map(({ p99Ms }) => p99Ms)),
    failed: rounds[name].reduce((sum, { failed }) => sum + failed, 0),
  });
  const [bare, guarded, product] = [of("bare"), of("guarded"), of("product")];
  return {
    ...{ bare, guarded, product },
    toBare: product.rate / bare.rate,
    toGuarded: product.rate / guarded.rate,
    p99ToP50: product.p99Ms / product.p50Ms,
  };
}

/** One fit with five quantiles and one probability, beside 2,000 calls of Math.exp in the same run. */
function forecastCost(): { microseconds: number; toExp: number } {
  const readings = Array.from({ length: 15 }, (_, n) => ({ day: 20_000 + n * 14, km: n * 200 }));
  const forecast = () => {
    const law = fitDistance({
      kind: "motorcycle",
      readings,
      asOf: 20_220,
      layUps: [],
      south: false,
    });
    law?.daysReached(4000, [0.1, 0.25, 0.5, 0.75, 0.9]);
    law?.reachedBy(4000, 20_241);
  };
  let sink = 0;
  const exps = () => {
    for (let n = 0; n < 2000; n += 1) sink += Math.exp(-n / 1000);
  };
  const time = (work: () => void, times: number) => {
    for (let n = 0; n < times / 4; n += 1) work();
    const started = performance.now();
    for (let n = 0; n < times; n += 1) work();
    return ((performance.now() - started) * 1000) / times;
  };
  const microseconds = time(forecast, 4000);
  const toExp = microseconds / time(exps, 4000);
  return { microseconds, toExp: sink === 0 ? Number.NaN : toExp };
}

type Result = ReturnType<typeof summary> & {
  waits: number;
  trace: Trace;
  forecast: ReturnType<typeof forecastCost>;
};

function report(result: Result): void {
  const line = (name: string, { rate, p50Ms, p99Ms, failed }: Measured) =>
    console.log(
      `${name.padEnd(46)} ${rate.toFixed(0).padStart(6)}/s   p50 ${p50Ms.toFixed(2)} ms   p99 ${p99Ms.toFixed(2)} ms   failed ${failed}`,
    );
  console.log("");
  line("bare Fastify, one insert", result.bare);
  line("the same with key, zod, row-level security", result.guarded);
  line("posting a reading, everything included", result.product);
  console.log("");
  console.log(`to bare      ${result.toBare.toFixed(3)}   goal 0.15`);
  console.log(`to guarded   ${result.toGuarded.toFixed(3)}   goal 0.25`);
  console.log(`p99 to p50   ${result.p99ToP50.toFixed(1)}     goal under 4`);
  console.log(
    `waits        ${result.waits}       goal 3, in ${result.trace.statements.length} statements:`,
  );
  for (const { name, ms } of result.trace.statements) {
    console.log(`  ${ms.toFixed(2).padStart(7)} ms  ${name.replaceAll("\n", " ")}`);
  }
  const { microseconds, toExp } = result.forecast;
  console.log(
    `one forecast ${microseconds.toFixed(1)} us, ${toExp.toFixed(2)} of 2,000 calls of Math.exp (goal 1)`,
  );
}
