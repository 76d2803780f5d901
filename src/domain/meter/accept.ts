import { type Instant, MS_PER_DAY } from "../calendar/plain-date.ts";
import { convertDistance } from "../units/distance.ts";
import { earlierSlip } from "./earlier-slip.ts";
import { mostDensity } from "./expectation.ts";
import type { HoldReason } from "./hold-reason.ts";
import { type HonestFigures, honestFigures } from "./honest-figures.ts";
import {
  type Context,
  type Counted,
  inMeterUnit,
  isTooFast,
  type Known,
  type Meter,
  mostIn,
  type Posted,
  runsBackwards,
  shownAs,
} from "./known-reading.ts";
import type { MeterChange } from "./total.ts";
import { meantBy, NO_SLIP, type WeighedSlip, weightOf } from "./weigh-slips.ts";

export type { HoldReason } from "./hold-reason.ts";
export type { Context, Known, Posted } from "./known-reading.ts";

export type Acceptance =
  | { status: "accepted"; total: number }
  | { status: "held"; total: number; reasons: HoldReason[] }
  | { status: "same"; id: string };

/** More than any instrument shows, in either unit. Common practice, no source. */
const MOST_SHOWN = 10_000_000;
/**
 * P(slip) from which on a person is asked: a slip let pass costs four times the trouble of an honest
 * figure held, which the next reading lets through. Common practice, no source.
 */
const LIKELY_ENOUGH = 0.2;
/**
 * The least slip that is asked about where nothing contradicts the reading, as a share of the longest
 * day's ride: 500 km of a motorcycle. Common practice, no source.
 */
const LEAST_SHARE = 1 / 4;

/**
 * Judges a reading. It is held only on evidence: it contradicts its neighbours in time, implies a
 * speed that no such machine has, or P(it came of a usual slip) by the forecast's own law is enough to
 * ask a person. The first reading of a meter is accepted unless no instrument shows so much.
 */
export function acceptReading(
  posted: Posted,
  known: readonly Known[],
  changes: readonly MeterChange[],
  context: Context,
): Acceptance {
  const there = known.filter(({ at, status }) => at === posted.at && status !== "superseded");
  return judgeAmong(posted, { there, ...surroundings(posted.at, known) }, { context, changes });
}

/** What is known around the instant of a reading, on the same meter. */
export interface Surroundings {
  /** Accepted and held ones of the very instant. */
  there: readonly Known[];
  /** Accepted ones before it, in time order. */
  past: readonly Known[];
  /** The accepted one after it that is nearest in time. */
  after: Known | undefined;
  /** Held ones between the accepted one before and this one. */
  heldSince: readonly Known[];
  /** The next in time of those that were posted along with it, where a whole history is posted. */
  next?: Posted;
}

/** The same among surroundings that are known already. */
export function judgeAmong(posted: Posted, around: Surroundings, meter: Meter): Acceptance {
  const one = shownAs(posted, posted.value, meter);
  const { total } = one;
  const { there } = around;
  const same = there.find(({ value, unit }) => value === posted.value && unit === posted.unit);
  if (same) return { status: "same", id: same.id };
  if (meter.context.confirmed) return { status: "accepted", total };
  const clash = there.find(({ status }) => status === "accepted");
  if (clash) {
    const reason = { code: "sameInstantOtherValue", earlierReadingId: clash.id } as const;
    return { status: "held", total, reasons: [reason] };
  }
  const judged = { ...around, one, meter, before: around.past.at(-1) };
  const reasons = reasonsToHold(judged);
  if (reasons.length > 0) return { status: "held", total, reasons };
  return { status: "accepted", total: betweenNeighbours(judged) };
}

const MILES_OF_KM = convertDistance(1, "km", "mi");
/** The other unit's figure is taken to whole units. */
const SLACK = 1;

/** A reading to be judged, with those around it. */
interface Case extends Surroundings {
  one: Counted;
  meter: Meter;
  /** The accepted one before that is nearest in time. */
  before: Known | undefined;
}

function surroundings(at: Instant, known: readonly Known[]) {
  const past = known
    .filter((other) => other.status === "accepted" && other.at < at)
    .sort((a, b) => a.at - b.at);
  const before = past.at(-1);
  let after: Known | undefined;
  for (const other of known) {
    if (other.status === "accepted" && other.at > at && (!after || other.at < after.at))
      after = other;
  }
  const heldSince = known.filter(
    (other) => other.status === "held" && other.at < at && before && other.at > before.at,
  );
  return { past, after, heldSince };
}

function reasonsToHold(judged: Case): HoldReason[] {
  const { one, meter, past, before, after } = judged;
  const { context } = meter;
  if (one.total >= MOST_SHOWN) return [{ code: "tooFast" }];
  const backwards =
    (before && runsBackwards(before, one, context)) ||
    (after && runsBackwards(one, after, context));
  if (backwards) return contradiction(judged, "runsBackwards");
  if (!fitsSpeed(one, judged)) return contradiction(judged, "tooFast");
  // Between two readings that agree with it nothing is left to doubt.
  if (after || !before) return [];
  if (goesOn(judged) && !mayBeMiles(one, before, meter)) return [];
  const slips = possibleSlips(judged).filter((slip) => matters(one, slip, meter));
  const doubted = goesOn(judged)
    ? slips.filter(({ code, meant }) => code === "otherUnit" && meant.total < one.total)
    : isCorroborated(judged, before)
      ? slips.filter(({ code }) => code === "otherUnit")
      : slips;
  if (doubted.length === 0) return [];
  const best = likelierSlip(one, doubted, honestFigures(past, one.at, meter));
  return best ? [reasonOf(best)] : [];
}

/** The likeliest slip, if P(it was one of the slips) is enough to ask a person. */
function likelierSlip(
  one: Counted,
  slips: readonly WeighedSlip[],
  figures: HonestFigures,
): WeighedSlip | null {
  const enough = (LIKELY_ENOUGH / (1 - LIKELY_ENOUGH)) * NO_SLIP * figures(one.total);
  // Nearly every honest reading is done with here, without a look at the law for each slip.
  const most = slips.reduce((sum, { chance, meant }) => sum + chance * mostDensity(meant.total), 0);
  if (most <= enough) return null;
  const slipped = slips.reduce((sum, slip) => sum + weightOf(slip, figures), 0);
  return slipped > enough ? likeliest(slips, figures) : null;
}

/**
 * Whether the next reading of a history that is posted whole runs on from this one at a speed that
 * can be. Had this one been meant higher, in the other unit or by another slip, the next one would
 * have slipped alike and as far; had it been meant lower, both may be the other unit's figure.
 */
function goesOn({ one, meter, next }: Case): boolean {
  if (!next) return false;
  const then = shownAs(next, next.value, meter);
  return then.total >= one.total && !isTooFast(one, then, meter.context);
}

/** Whether the reading before leaves room for the lower of the two units' figures. */
function mayBeMiles(one: Counted, before: Counted, { context }: Meter): boolean {
  const lowered = inMeterUnit(one.value * (1 - MILES_OF_KM), one.unit, context);
  return one.unit !== "h" && one.total - lowered + SLACK >= before.total;
}

/**
 * Whether a reading that is still held says the same: the meter ran on from it at a speed that can
 * be. Two slips that agree with each other are rarer than one surprising journey, except where both
 * are the other unit's figure. Only one posted since the last accepted reading that does not
 * contradict it can say so: any other would excuse every later slip of the machine.
 */
function isCorroborated({ one, meter, heldSince }: Case, before: Known): boolean {
  const { context } = meter;
  return heldSince.some(
    (other) =>
      other.total >= before.total &&
      other.total <= one.total &&
      !isTooFast(before, other, context) &&
      !isTooFast(other, one, context),
  );
}

/** Whether it is worth asking a person: a slip of one day's ride moves no due date by much. */
function matters({ total, unit }: Counted, { meant }: WeighedSlip, { context }: Meter): boolean {
  return Math.abs(total - meant.total) >= LEAST_SHARE * mostIn(1, unit, context);
}

/** The total, moved by what a whole figure hides at most, so that totals never fall in time. */
function betweenNeighbours({ one, before, after }: Case): number {
  return Math.min(Math.max(one.total, before?.total ?? 0), after?.total ?? Infinity);
}

/** A contradiction, with the slip that explains it: of this reading, or of the one before it. */
function contradiction(judged: Case, code: "runsBackwards" | "tooFast"): HoldReason[] {
  const { one, meter, past, before, after, heldSince } = judged;
  const { context } = meter;
  const doubtful =
    before && (runsBackwards(before, one, context) || isTooFast(before, one, context));
  const earlier = doubtful && earlierSlip(one, before, past.slice(0, -1), heldSince, meter);
  if (earlier) {
    const { slip, likelierValue } = earlier;
    return [
      { code, earlierReadingId: slip.id },
      {
        code: "earlierIsTheSlip",
        earlierReadingId: slip.id,
        ...(likelierValue !== undefined && { likelierValue: rounded(likelierValue) }),
        ...(likelierValue !== undefined && slip.unit !== one.unit && { likelierUnit: slip.unit }),
      },
    ];
  }
  const slip = before && likeliest(possibleSlips(judged), honestFigures(past, one.at, meter));
  const other = before && one.total < before.total ? before : (after ?? before);
  const found: HoldReason = { code, ...(other && { earlierReadingId: other.id }) };
  return slip ? [found, reasonOf(slip)] : [found];
}

/** The slips that would take the reading to a place between its neighbours. */
function possibleSlips(judged: Case): WeighedSlip[] {
  const { one, meter, before, after } = judged;
  const furthest = before
    ? before.total + mostIn((one.at - before.at) / MS_PER_DAY, one.unit, meter.context)
    : Number.POSITIVE_INFINITY;
  const to = Math.min(after?.total ?? furthest, furthest);
  return meantBy(one, meter, before?.total, to).filter(({ meant }) => fitsSpeed(meant, judged));
}

function fitsSpeed(one: Counted, { meter, before, after }: Case): boolean {
  return [before, after].every((other) => !other || !isTooFast(one, other, meter.context));
}

function likeliest(slips: readonly WeighedSlip[], figures: HonestFigures): WeighedSlip | null {
  let best: { slip: WeighedSlip; weight: number } | null = null;
  for (const slip of slips) {
    const weight = weightOf(slip, figures);
    if (!best || weight > best.weight) best = { slip, weight };
  }
  return best?.slip ?? null;
}

function reasonOf({ code, value }: WeighedSlip): HoldReason {
  return { code, likelierValue: rounded(value) };
}

function rounded(value: number): number {
  return Math.round(value * 10) / 10;
}
