import type { ForecastCost } from "./forecast-cost.ts";
import type { ImportRate } from "./import-rate.ts";
import type { ListRounds } from "./list-rate.ts";
import type { Measured } from "./load.ts";
import type { LoopBlocks } from "./loop-block.ts";
import type { ServerName } from "./servers.ts";
import type { Trace } from "./trace.ts";

/** Where the time of one posted reading goes, traced with one request at a time. */
export interface Profile {
  requestMs: number;
  waits: number;
  waitingMs: number;
  processorMs: number;
  /** Mean time of each statement, and how many times a request sends it. */
  statements: { name: string; times: number; ms: number }[];
}

export interface Summary {
  bare: Measured;
  guarded: Measured;
  product: Measured;
  toBare: number;
  toGuarded: number;
  p99ToP50: number;
  profile: Profile;
  forecast: ForecastCost;
  blocks: LoopBlocks;
  imports: ImportRate;
  lists: Record<keyof ListRounds, Measured>;
}

export type Rounds = Record<ServerName, Measured[]>;

/** Medians over the rounds and their ratios. */
export function summaryOf({
  rounds,
  traced,
  lists,
  ...measured
}: Pick<Summary, "forecast" | "blocks" | "imports"> & {
  rounds: Rounds;
  traced: { load: Measured; trace: Trace };
  lists: ListRounds;
}): Summary {
  const [bare, guarded, product] = [
    medianOf(rounds.bare),
    medianOf(rounds.guarded),
    medianOf(rounds.product),
  ];
  return {
    ...{ bare, guarded, product },
    toBare: product.rate / bare.rate,
    toGuarded: product.rate / guarded.rate,
    p99ToP50: product.p99Ms / product.p50Ms,
    profile: profileOf(traced),
    ...measured,
    lists: { bare: medianOf(lists.bare), product: medianOf(lists.product) },
  };
}

function medianOf(rounds: readonly Measured[]): Measured {
  const median = (of: (one: Measured) => number) =>
    rounds.map(of).sort((a, b) => a - b)[Math.floor(rounds.length / 2)] ?? Number.NaN;
  return {
    rate: median(({ rate }) => rate),
    p50Ms: median(({ p50Ms }) => p50Ms),
    p99Ms: median(({ p99Ms }) => p99Ms),
    answers: rounds.reduce((sum, { answers }) => sum + answers, 0),
    failed: rounds.reduce((sum, { failed }) => sum + failed, 0),
  };
}

function profileOf({ load, trace }: { load: Measured; trace: Trace }): Profile {
  const each = (total: number) => total / load.answers;
  return {
    requestMs: 1000 / load.rate,
    waits: each(trace.waits),
    waitingMs: each(trace.waitingMs),
    processorMs: each(trace.processorMs),
    statements: trace.statements
      .map(({ name, times, ms }) => ({ name, times: each(times), ms: ms / times }))
      .sort((a, b) => b.ms - a.ms),
  };
}

/** The summary as lines for a person at a terminal, with the goals beside. */
export function linesOf(summary: Summary): string[] {
  const { bare, guarded, product, profile, forecast, blocks, imports, lists } = summary;
  return [
    "",
    loadLine("bare Fastify, one insert", bare),
    loadLine("the same with key, zod, row-level security", guarded),
    loadLine("posting a reading, everything included", product),
    "",
    `to bare      ${summary.toBare.toFixed(3)}   goal 0.15`,
    `to guarded   ${summary.toGuarded.toFixed(3)}   goal 0.25`,
    `p99 to p50   ${summary.p99ToP50.toFixed(1)}     goal under 4`,
    `waits        ${profile.waits.toFixed(1)}     goal 3`,
    "",
    `One request at a time takes ${profile.requestMs.toFixed(2)} ms: ${profile.waitingMs.toFixed(2)} ms waiting for the database, ${profile.processorMs.toFixed(2)} ms of the service's processor.`,
    "Statements from their sending to their answer, those that travel together from the sending of all:",
    ...profile.statements.map(
      ({ name, times, ms }) =>
        `  ${ms.toFixed(2).padStart(6)} ms  ${times.toFixed(2)} times  ${name}`,
    ),
    "",
    loadLine("bare Fastify, a list of 50", lists.bare),
    loadLine("a list of 50 readings", lists.product),
    `to bare      ${(lists.product.rate / lists.bare.rate).toFixed(3)}   goal 0.6`,
    "",
    `Imports: ${imports.readings} readings in ${imports.seconds.toFixed(1)} s, ${(imports.readings / imports.seconds).toFixed(0)}/s (goal 30,000), ${(imports.seconds / imports.bareSeconds).toFixed(0)} times a bare COPY of the same lines`,
    "",
    `One forecast ${forecast.microseconds.toFixed(1)} us, ${forecast.toExp.toFixed(2)} of 2,000 calls of Math.exp (goal 1)`,
    `Longest block of the event loop under 1,000 forecasts: ${blocks.forecastsMs.toFixed(0)} ms, under a body of 8 MiB: ${blocks.fullBodyMs.toFixed(0)} ms (goal under 50)`,
  ];
}

function loadLine(name: string, { rate, p50Ms, p99Ms, failed, answers }: Measured): string {
  const times = `p50 ${p50Ms.toFixed(2)} ms   p99 ${p99Ms.toFixed(2)} ms`;
  return `${name.padEnd(46)} ${rate.toFixed(0).padStart(6)}/s   ${times}   ${failed} of ${answers} failed`;
}
