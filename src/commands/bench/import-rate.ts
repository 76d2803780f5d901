import { pipeline } from "node:stream/promises";
import type pg from "pg";
import copyStreams from "pg-copy-streams";
import { bytesOf, postFile, readingFile, vehicleFile } from "./fleet-files.ts";

const FLEET = { machines: 200, readingsEach: 1_000 };

export interface ImportRate {
  readings: number;
  /** From the first byte to the answer: every reading judged, machines planned, events written. */
  seconds: number;
  /** The same lines by COPY into a table without keys or policies. */
  bareSeconds: number;
}

/** A file of readings taken in by the API; its machines are named `import-1` to `import-200`. */
export async function importRate(port: number, key: string, owner: pg.Client): Promise<ImportRate> {
  const baseUrl = `http://127.0.0.1:${port}`;
  await postFile(baseUrl, key, "vehicles", vehicleFile(FLEET));
  const readings = FLEET.machines * FLEET.readingsEach;
  const now = Date.now();
  const begun = performance.now();
  const answer = await postFile(baseUrl, key, "readings", readingFile(FLEET, now));
  const seconds = (performance.now() - begun) / 1000;
  if (answer.counts?.recorded !== readings) {
    throw new Error(`Of ${readings} readings not all were recorded: ${JSON.stringify(answer)}`);
  }
  return { readings, seconds, bareSeconds: await copied(owner, now) };
}

async function copied(owner: pg.Client, now: number): Promise<number> {
  await owner.query("create table bench_copied (vehicle text, value float8, at timestamptz)");
  const begun = performance.now();
  const into = owner.query(
    copyStreams.from("copy bench_copied from stdin with (format csv, header)"),
  );
  await pipeline(bytesOf(readingFile(FLEET, now)), into);
  return (performance.now() - begun) / 1000;
}
