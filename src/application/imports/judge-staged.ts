import type { Instant } from "../../domain/calendar/plain-date.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import type { Acceptance } from "../../domain/meter/accept.ts";
import { MeterHistory } from "../../domain/meter/history.ts";
import { holdSentence } from "../../domain/meter/hold-sentence.ts";
import { breathing } from "../breathe.ts";
import type { Deps } from "../deps.ts";
import type { Machine, New } from "../ports.ts";
import { changesOf, contextOf } from "../readings/place-reading.ts";
import type { MeterName, Reading } from "../records.ts";
import type { ImportReport } from "./import-report.ts";
import { KnownWalk } from "./known-walk.ts";
import type { ReadingsImport, StagedReading } from "./ports.ts";

/** What came of the readings of one machine. */
export interface MachineImported {
  vehicleId: string;
  recorded: number;
  held: number;
  /** Instants of the first and the last that is new. */
  from: Instant;
  to: Instant;
}

/** Known readings before the first of the file that a judgement looks back on. */
const LOOKS_BACK = 240;

/** What was judged before is stored meanwhile, and others of the process are served. */
const LONGEST_RUN_MS = 5;
const ROWS_A_LOOK = 32;

interface Judging {
  machine: Machine;
  meter: MeterName;
  history: MeterHistory;
}

/**
 * Judges the readings of a file, machine by machine in order of time, each with what is known before
 * and after it and with the one that follows it in the file: a whole history tells more than its
 * beginning. Those that are new are handed to `store` part by part, which is not waited for before
 * the next part is judged.
 */
export async function judgeStaged(
  tx: ReadingsImport,
  report: ImportReport,
  now: Instant,
  store: ((readings: readonly New<Reading>[]) => Promise<void>) | null,
  deps: Pick<Deps, "ids">,
): Promise<MachineImported[]> {
  const walk = new KnownWalk(tx.known(LOOKS_BACK));
  const touched: MachineImported[] = [];
  let judging: Judging | null = null;
  let storing: Promise<void> | undefined;
  const breathe = breathing(LONGEST_RUN_MS);
  for await (const [part, following] of withNext(tx.staged())) {
    const fresh: New<Reading>[] = [];
    for (const [index, row] of part.entries()) {
      if (index % ROWS_A_LOOK === 0) await breathe();
      if (judging?.machine.vehicle.id !== row.vehicleId || judging.meter !== row.meter) {
        judging = await beginMeter(tx, judging, row, now);
      }
      const after = walk.ended ? undefined : await passKnown(walk, judging.history, row);
      const next = nextOf(row, index + 1 < part.length ? part[index + 1] : await following);
      const judged = judging.history.judge(row, after, next);
      const reading = settle(row, judged, report, now, store ? deps.ids() : "");
      if (!reading) continue;
      judging.history.pass(reading);
      fresh.push(reading);
      note(touched, reading);
    }
    await storing;
    storing = store?.(fresh);
    // It may fail before anybody waits for it; whoever waits next is told.
    storing?.catch(() => {});
  }
  await storing;
  return touched;
}

/**
 * Each part with the first row of the one after it, which is asked for at once and comes while this
 * one is judged, behind what is stored of the part before.
 */
async function* withNext(
  parts: AsyncGenerator<StagedReading[]>,
): AsyncGenerator<[StagedReading[], Promise<StagedReading | undefined>]> {
  try {
    let coming = parts.next();
    for (let part = await coming; !part.done; part = await coming) {
      coming = parts.next();
      const following = coming.then(({ done, value }) => (done ? undefined : value[0]));
      // It may fail before anybody waits for it; whoever waits next is told.
      following.catch(() => {});
      yield [part.value, following];
    }
  } finally {
    await parts.return(undefined);
  }
}

async function beginMeter(
  tx: ReadingsImport,
  before: Judging | null,
  { vehicleId, meter }: StagedReading,
  now: Instant,
): Promise<Judging> {
  const machine =
    before?.machine.vehicle.id === vehicleId
      ? before.machine
      : await tx.machine.load(vehicleId, false);
  if (!machine) {
    const detail =
      "A vehicle of this file was removed while it was read. Look at it, and send it again.";
    throw new Refusal({ kind: "conflict", detail });
  }
  const context = contextOf(machine, meter, now);
  const history = new MeterHistory({ context, changes: changesOf(machine, meter) });
  return { machine, meter, history };
}

/** Goes on over what is known up to the row; answers the one that follows it. */
async function passKnown(walk: KnownWalk, history: MeterHistory, row: StagedReading) {
  for (const known of await walk.upTo(row)) history.pass(known);
  return walk.after(row);
}

/** Two rows of the very instant contradict each other or are the same: neither speaks for the other. */
function nextOf(row: StagedReading, next: StagedReading | undefined): StagedReading | undefined {
  const follows =
    next !== undefined &&
    next.vehicleId === row.vehicleId &&
    next.meter === row.meter &&
    next.at > row.at;
  return follows ? next : undefined;
}

/** The reading that is new, counted and told in the report; null for one that is there already. */
function settle(
  row: StagedReading,
  judged: Acceptance,
  report: ImportReport,
  now: Instant,
  id: string,
): New<Reading> | null {
  if (judged.status === "same") {
    report.repeat(row.line, judged.id === "" ? null : judged.id);
    return null;
  }
  const reasons = judged.status === "held" ? judged.reasons : [];
  if (judged.status === "accepted") report.recorded();
  else {
    const told = reasons.map((reason) => holdSentence(reason, row.unit)).join(" ");
    report.hold(row.line, "value", told, id === "" ? null : id);
  }
  return {
    id,
    createdAt: now,
    updatedAt: now,
    vehicleId: row.vehicleId,
    meter: row.meter,
    at: row.at,
    value: row.value,
    unit: row.unit,
    total: judged.total,
    status: judged.status,
    confirmed: false,
    reasons,
    source: row.source,
    note: row.note,
    replacesId: null,
    workRecordId: null,
    externalId: row.externalId,
  };
}

function note(touched: MachineImported[], { vehicleId, status, at }: New<Reading>): void {
  let last = touched.at(-1);
  if (last?.vehicleId !== vehicleId) {
    last = { vehicleId, recorded: 0, held: 0, from: at, to: at };
    touched.push(last);
  }
  if (status === "held") last.held += 1;
  else last.recorded += 1;
  last.from = Math.min(last.from, at);
  last.to = Math.max(last.to, at);
}
