import { fork } from "node:child_process";
import { randomBytes } from "node:crypto";
import { once } from "node:events";
import type { AddressInfo } from "node:net";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { pino } from "pino";
import { connect } from "../database/client.ts";
import { buildService } from "../service.ts";
import { faultsInRows } from "./fuzz/rows.ts";
import { type FuzzOptions, runFuzz } from "./fuzz/run-fuzz.ts";
import { withOwnDatabase } from "./own-database.ts";

const PLENTY = { requests: 10_000_000, seconds: 1 };
const CONNECTIONS = 8;
const PAIRS = 3;

const served = process.env.FOREWHEEL_FUZZ_DATABASE;
if (served !== undefined) await serve(served, String(process.env.FOREWHEEL_FUZZ_TOKEN));
else process.exitCode = await fuzz();

/** The API in a process of its own, without limits to the rate. */
async function serve(appUrl: string, operatorToken: string): Promise<void> {
  const connections = connect(appUrl, { connections: CONNECTIONS * PAIRS, onBroken: () => {} });
  const { app } = await buildService(
    {
      baseUrl: "http://127.0.0.1",
      signingSecret: randomBytes(24).toString("hex"),
      operatorToken,
      mailFrom: { name: "Fuzz", address: "fuzz@example.org" },
      // What fails with 500 is told there, with its cause.
      logger: pino({ level: "error" }, pino.destination(2)),
      rates: { key: PLENTY, address: PLENTY, refusedKeys: PLENTY },
    },
    connections,
    () => {},
  );
  await app.listen({ host: "127.0.0.1", port: 0 });
  process.on("disconnect", () => process.exit(0));
  process.send?.({ port: (app.server.address() as AddressInfo).port });
}

async function fuzz(): Promise<number> {
  const { values } = parseArgs({
    options: {
      requests: { type: "string", default: "1000000" },
      seed: { type: "string", default: String(randomBytes(4).readUInt32BE()) },
      url: { type: "string" },
      key: { type: "string" },
    },
  });
  const common = {
    requests: Number(values.requests),
    seed: Number(values.seed),
    connections: CONNECTIONS,
    pairs: PAIRS,
    say: (line: string) => console.log(line),
  };
  console.log(`Seed ${common.seed}, ${common.requests} requests.`);
  if (values.url === undefined) return ownApi(common);
  if (values.key === undefined) throw new Error("With --url a --key of an account is needed too.");
  const faults = await run({ ...common, origin: values.url, key: values.key });
  console.log("With one key alone nothing was said of rows of another account.");
  return faults === 0 ? 0 : 1;
}

/** On a database and an API of its own, which must still be there at the end. */
async function ownApi(common: Omit<FuzzOptions, "origin">): Promise<number> {
  return withOwnDatabase("fuzz", { fast: true }, async ({ ownerUrl, appUrl }) => {
    const operatorToken = randomBytes(24).toString("hex");
    const env = { FOREWHEEL_FUZZ_DATABASE: appUrl, FOREWHEEL_FUZZ_TOKEN: operatorToken };
    const api = fork(fileURLToPath(import.meta.url), { env: { ...process.env, ...env } });
    try {
      const [{ port }] = (await once(api, "message")) as [{ port: number }];
      const options = { ...common, origin: `http://127.0.0.1:${port}`, operatorToken };
      const faults = await run(options, ownerUrl);
      const alive = await fetch(`${options.origin}/readyz`).then(
        ({ ok }) => ok,
        () => false,
      );
      console.log(alive ? "The API still answers." : "The API does not answer any more.");
      return faults === 0 && alive ? 0 : 1;
    } finally {
      api.kill("SIGKILL");
    }
  });
}

/** Prints what was found; how much, is the answer. */
async function run(options: FuzzOptions, ownerUrl?: string): Promise<number> {
  const { tally, accountIds, seconds } = await runFuzz(options);
  console.log(tally.lines().join("\n"));
  const inRows = ownerUrl === undefined ? [] : await faultsInRows(ownerUrl, accountIds);
  const never = tally.neverDone();
  for (const line of [...tally.findingLines(), ...inRows.map((one) => `- ${one}`)])
    console.log(line);
  if (never.length > 0) console.log(`No valid request ever succeeded: ${never.join(", ")}.`);
  const count = tally.findings.size + inRows.length + never.length;
  console.log(
    `${tally.rows.size} operations, ${tally.requests} requests in ${Math.round(seconds)} s, ${count} findings, seed ${options.seed}.`,
  );
  return count;
}
