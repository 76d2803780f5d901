import { type Instant, MS_PER_DAY } from "../calendar/plain-date.ts";
import { convertDistance, type DistanceUnit } from "../units/distance.ts";
import type { VehicleKind } from "../usage/kind.ts";
import type { Expectation } from "./expectation.ts";
import { mostHoursIn, mostKmIn } from "./plausible-speed.ts";
import { choiceOf, type Slip, type SlipCode, slipsOf } from "./slips.ts";
import { type MeterChange, totalOf } from "./total.ts";

/** What was posted: the figure shown, in its unit. */
export interface Posted {
  at: Instant;
  value: number;
  unit: DistanceUnit | "h";
}

/** A reading of the same meter that is known; totals in the meter's unit. */
export interface Known extends Posted {
  id: string;
  total: number;
  status: "accepted" | "held" | "superseded";
  confirmed: boolean;
}

export type HoldCode =
  | "runsBackwards"
  | "tooFast"
  | "sameInstantOtherValue"
  | "earlierIsTheSlip"
  | SlipCode;

export interface HoldReason {
  code: HoldCode;
  /** What the meter more likely showed, in the unit that was posted. */
  likelierValue?: number;
  /** The reading posted before that is the likelier slip, or that this one contradicts. */
  earlierReadingId?: string;
}

export type Acceptance =
  | { status: "accepted"; total: number }
  | { status: "held"; total: number; reasons: HoldReason[] }
  | { status: "same"; id: string };

export interface Context {
  meterUnit: DistanceUnit;
  kind: VehicleKind;
  now: Instant;
  /** A person looked again and said that it is right. */
  confirmed: boolean;
  /** The forecast at the posted instant from some of the known readings; null without any. */
  expect(before: readonly Known[]): Expectation | null;
}

/** More than any instrument shows, in either unit. Common practice, no source. */
const MOST_SHOWN = 10_000_000;
/** What binary sums of tenths may be off by; far below what any meter shows. */
const SUM_ERROR = 1e-6;
/** A total less likely than this to be reached deserves a second look. */
const SURPRISING = 0.05;
/** How much better a slip must explain the figure than the figure itself: evidence of 100 to 1. */
const FAR_LIKELIER = Math.log(100);
/** The least slip that is asked about, where nothing contradicts the reading. Common practice, no source. */
const LEAST_KM = 300;
const LEAST_HOURS = 10;

/**
 * Judges a reading. It is held only on evidence: it contradicts its neighbours in time, implies a
 * speed that no such machine has, or is surprising and one of the usual slips explains it far
 * better. The first reading of a meter is accepted unless no instrument shows so much.
 */
export function acceptReading(
  posted: Posted,
  known: readonly Known[],
  changes: readonly MeterChange[],
  context: Context,
): Acceptance {
  const total = totalOf(inMeterUnit(posted.value, posted.unit, context), posted.at, changes);
  const there = known.filter(({ at, status }) => at === posted.at && status !== "superseded");
  const same = there.find(({ value, unit }) => value === posted.value && unit === posted.unit);
  if (same) return { status: "same", id: same.id };
  if (context.confirmed) return { status: "accepted", total };
  const counted = known.filter(({ status }) => status === "accepted");
  const clash = there.find(({ status }) => status === "accepted");
  if (clash) {
    const reason = { code: "sameInstantOtherValue", earlierReadingId: clash.id } as const;
    return { status: "held", total, reasons: [reason] };
  }
  const one = { posted, total, changes, context, counted, known };
  const reasons = reasonsToHold(one);
  if (reasons.length > 0) return { status: "held", total, reasons };
  return { status: "accepted", total: betweenNeighbours(one) };
}

/**
 * Whether a reading that is still held says the same: the meter ran on from it at a speed that can
 * be. Two slips that agree with each other are rarer than one surprising journey. Only one posted
 * since the last accepted reading, and not below it, can say so: any other has been contradicted,
 * and would excuse every later slip of the machine.
 */
function isCorroborated({ posted, total, context, known }: Case, before: Known | undefined) {
  if (!before) return false;
  return known.some((other) => {
    if (other.status !== "held" || other.at <= before.at || other.at >= posted.at) return false;
    if (other.total < before.total || other.total > total) return false;
    const days = (posted.at - other.at) / MS_PER_DAY;
    return total - other.total <= mostIn(days, { posted, context });
  });
}

interface Case {
  posted: Posted;
  total: number;
  changes: readonly MeterChange[];
  context: Context;
  counted: readonly Known[];
  /** Held ones among them. */
  known: readonly Known[];
}

function reasonsToHold(one: Case): HoldReason[] {
  const { before, after } = neighbours(one);
  if (one.total >= MOST_SHOWN) return [{ code: "tooFast" }];
  if (!before && !after) return [];
  const { total, posted, context } = one;
  const backwards =
    (before && isBelow(total, hiddenBy(posted, context), before.total)) ||
    (after && isBelow(after.total, hiddenBy(after, context), total));
  if (backwards) return contradiction(one, "runsBackwards", before, after);
  if (isCorroborated(one, before)) return [];
  if (isTooFast(one, before, after)) return contradiction(one, "tooFast", before, after);
  // Between two readings that agree with it nothing is left to doubt.
  if (after || !before) return [];
  const expected = one.context.expect(upTo(one));
  if (!expected || expected.tail(one.total) >= SURPRISING) return [];
  const slip = likeliestSlip(one, expected, before, after);
  if (!slip || slip.gain <= FAR_LIKELIER || !matters(one, slip)) return [];
  return [reasonOf(slip)];
}

/** Whether it is worth asking a person: a slip of one day's ride moves no due date by much. */
function matters({ posted, context }: Case, { value }: Slip): boolean {
  const least = posted.unit === "h" ? LEAST_HOURS : LEAST_KM;
  const off = Math.abs(inMeterUnit(posted.value - value, posted.unit, context));
  return off >= (posted.unit === "h" ? least : convertDistance(least, "km", context.meterUnit));
}

/** Whether a total lies below another although its meter may hide part of a unit. */
function isBelow(total: number, hidden: number, other: number): boolean {
  return total + Math.max(hidden, SUM_ERROR) <= other;
}

/** A whole figure leaves up to a unit untold: 5210 stands for anything below 5211. Meter's unit. */
function hiddenBy({ value, unit }: Posted, context: Context): number {
  return Number.isInteger(value) ? inMeterUnit(1, unit, context) : 0;
}

/** The total, moved by what a whole figure hides at most, so that totals never fall in time. */
function betweenNeighbours(one: Case): number {
  const { before, after } = neighbours(one);
  return Math.min(Math.max(one.total, before?.total ?? 0), after?.total ?? Infinity);
}

/** A contradiction, with the slip that explains it: of this reading, or of the one before it. */
function contradiction(
  one: Case,
  code: "runsBackwards" | "tooFast",
  before: Known | undefined,
  after: Known | undefined,
): HoldReason[] {
  const earlier = earlierSlip(one, before);
  if (earlier)
    return [
      { code, earlierReadingId: earlier.id },
      { code: "earlierIsTheSlip", earlierReadingId: earlier.id },
    ];
  const expected = one.context.expect(upTo(one));
  const slip = expected && likeliestSlip(one, expected, before, after);
  const other = before && one.total < before.total ? before : (after ?? before);
  const found: HoldReason = { code, ...(other && { earlierReadingId: other.id }) };
  return slip ? [found, reasonOf(slip)] : [found];
}

/**
 * The reading before, if without it this one fits what came earlier, while it does not fit that
 * itself: then it is the likelier slip. A reading that a person confirmed is no slip.
 */
function earlierSlip(one: Case, before: Known | undefined): Known | null {
  if (!before || before.confirmed) return null;
  const others = one.counted.filter(({ id, at }) => id !== before.id && at <= one.posted.at);
  if (others.length === 0) return null;
  const least = others.reduce((most, { total }) => Math.max(most, total), 0);
  if (one.total < least) return null;
  const expected = one.context.expect(others);
  if (!expected || expected.tail(one.total) < SURPRISING) return null;
  return expected.tail(before.total) < SURPRISING ? before : null;
}

interface WeighedSlip extends Slip {
  /** How much likelier it is than the figure as posted, as a natural logarithm. */
  gain: number;
}

function likeliestSlip(
  one: Case,
  expected: Expectation,
  before: Known | undefined,
  after: Known | undefined,
): WeighedSlip | null {
  const { posted, changes, context } = one;
  const asPosted = expected.logDensity(one.total);
  let best: WeighedSlip | null = null;
  const slips = slipsOf(posted.value, posted.unit);
  for (const slip of slips) {
    const total = totalOf(inMeterUnit(slip.value, posted.unit, context), posted.at, changes);
    if ((before && total < before.total) || (after && total > after.total)) continue;
    if (isTooFast({ ...one, total }, before, after)) continue;
    const gain = expected.logDensity(total) - asPosted - choiceOf(slip.code, slips);
    if (!best || gain > best.gain) best = { ...slip, gain };
  }
  return best;
}

function reasonOf({ code, value }: Slip): HoldReason {
  return { code, likelierValue: Math.round(value * 10) / 10 };
}

function neighbours({ posted, counted }: Case): { before?: Known; after?: Known } {
  let before: Known | undefined;
  let after: Known | undefined;
  for (const one of counted) {
    if (one.at < posted.at && (!before || one.at > before.at)) before = one;
    if (one.at > posted.at && (!after || one.at < after.at)) after = one;
  }
  return { ...(before && { before }), ...(after && { after }) };
}

function upTo({ posted, counted }: Case): Known[] {
  return counted.filter(({ at }) => at <= posted.at);
}

function isTooFast(one: Case, before: Known | undefined, after: Known | undefined): boolean {
  const { posted, total } = one;
  return [before, after].some((other) => {
    if (!other) return false;
    const days = Math.abs(posted.at - other.at) / MS_PER_DAY;
    return Math.abs(total - other.total) > mostIn(days, one);
  });
}

/** The most that the meter can move in so many days, in the meter's unit. */
function mostIn(days: number, { posted, context }: Pick<Case, "posted" | "context">): number {
  if (posted.unit === "h") return mostHoursIn(days);
  return convertDistance(mostKmIn(days, context.kind), "km", context.meterUnit);
}

function inMeterUnit(value: number, unit: Posted["unit"], { meterUnit }: Context): number {
  return unit === "h" ? value : convertDistance(value, unit, meterUnit);
}
