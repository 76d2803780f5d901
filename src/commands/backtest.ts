import { readFile } from "node:fs/promises";
import { basename } from "node:path";
import { parseArgs } from "node:util";
import { SingleBar } from "cli-progress";
import { VEHICLE_KINDS, type VehicleKind } from "../domain/usage/kind.ts";
import { NAIVE_METHODS } from "./backtest/naive/all.ts";
import { FIRST_RECIPE, FOREWHEEL } from "./backtest/product.ts";
import { linesOf } from "./backtest/report.ts";
import { simulatedRider } from "./backtest/riders.ts";
import { runBacktest, stepsOf } from "./backtest/run.ts";
import type { Series } from "./backtest/series.ts";
import { seriesOf } from "./backtest/series-file.ts";

const USAGE = `npm run backtest -- [FILE...] [--kind KIND] [--riders N] [--json]
  FILE      readings of one machine: date,km or date,mi or date,odometer a line, # for notes
  --kind    the machines in the files (${VEHICLE_KINDS.join(", ")});
            without it a file named after its kind, as car-1996.csv, is taken as that, else other
  --riders  how many simulated riders, 240 if not told
  --json    the report as JSON`;

const RIDERS = 240;

await main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
});

async function main(): Promise<void> {
  const { files, kind, riders, json } = argumentsOf();
  const series: Series[] = Array.from({ length: riders }, (_, n) => simulatedRider(n + 1));
  for (const file of files) {
    const name = basename(file);
    series.push(seriesOf(name, await textOf(file), kind ?? kindIn(name)));
  }
  if (series.length === 0) throw new Error(`nothing to forecast\n${USAGE}`);
  const methods = [...NAIVE_METHODS, FIRST_RECIPE, FOREWHEEL];
  const bar = new SingleBar({
    format: "{bar} {percentage} % of {total} series and methods, {eta} s left",
    clearOnComplete: true,
    stream: process.stderr,
  });
  bar.start(stepsOf(methods, series), 0);
  const report = await runBacktest(methods, series, () => bar.increment());
  bar.stop();
  console.log(json ? JSON.stringify(report, null, 2) : linesOf(report).join("\n"));
}

async function textOf(file: string): Promise<string> {
  return readFile(file, "utf8").catch((error: unknown) => {
    throw new Error(`${file} cannot be read: ${error instanceof Error ? error.message : error}`);
  });
}

function argumentsOf() {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
      kind: { type: "string" },
      riders: { type: "string" },
      json: { type: "boolean", default: false },
    },
  });
  const riders = values.riders === undefined ? RIDERS : Number(values.riders);
  if (!Number.isInteger(riders) || riders < 0 || riders > 100_000)
    throw new Error(`--riders takes a whole number from 0 to 100000\n${USAGE}`);
  if (values.kind !== undefined && !isKind(values.kind))
    throw new Error(`--kind takes one of ${VEHICLE_KINDS.join(", ")}`);
  return { files: positionals, kind: values.kind, riders, json: values.json };
}

function kindIn(name: string): VehicleKind {
  const start = name.split(/[-.]/)[0] ?? "";
  return isKind(start) ? start : "other";
}

function isKind(text: string): text is VehicleKind {
  return (VEHICLE_KINDS as readonly string[]).includes(text);
}
