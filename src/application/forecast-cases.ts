import {
  dayNumber,
  type Instant,
  MS_PER_DAY,
  type PlainDate,
} from "../domain/calendar/plain-date.ts";
import { fit as fitDistance } from "../domain/forecast/fit.ts";
import type { Law } from "../domain/forecast/law.ts";
import {
  type Acceptance,
  acceptReading,
  type HoldReason,
  type Known,
} from "../domain/meter/accept.ts";
import { expectationOf } from "../domain/meter/expectation.ts";
import { convertDistance, type DistanceUnit } from "../domain/units/distance.ts";
import type { VehicleKind } from "../domain/usage/kind.ts";
import type { Breathe } from "./breathe.ts";

/** One machine with all that its forecast follows from; distances in `unit`. */
export interface ForecastCase {
  id: string | null;
  kind: VehicleKind;
  unit: DistanceUnit;
  declaredPerYear: number | null;
  hemisphere: "north" | "south";
  asOf: Instant;
  readings: { at: Instant; value: number }[];
  layUps: { from: PlainDate; to: PlainDate | null }[];
  targets: number[];
  quantiles: number[];
  withinDays: number[];
}

export interface Spread {
  mean: number;
  quantiles: { p: number; value: number }[];
}

export interface ForecastResult {
  id: string | null;
  now: Spread | null;
  perDay: Spread | null;
  targets: {
    value: number;
    quantiles: { p: number; at: Instant | null }[];
    within: { days: number; probability: number }[];
  }[];
  held: { at: Instant; value: number; reasons: HoldReason[] }[];
}

/** Fifty years: beyond them no date is told. */
const FURTHEST_DAYS = 18_262;
const ALWAYS_TOLD = [0.1, 0.5, 0.9];
/** What a reading is judged by: the newest ones before it, as many as of a stored machine. */
const JUDGED_BY = 240;

/**
 * The forecast of one case with nothing stored: its readings are judged in their order in time, those
 * that would be held are left out, and the law of the rest answers. Dates are in UTC.
 */
export async function forecastCase(one: ForecastCase, breathe: Breathe): Promise<ForecastResult> {
  const toKm = (distance: number) => convertDistance(distance, one.unit, "km");
  const fromKm = (km: number) => convertDistance(km, "km", one.unit);
  const { accepted, held } = await judgeReadings(one, toKm, breathe);
  const law = lawOf(one, accepted, one.asOf, toKm);
  const told = [...new Set([...one.quantiles, ...ALWAYS_TOLD])].sort((a, b) => a - b);
  const spread = (mean: number, at: (p: number) => number): Spread => ({
    mean: fromKm(mean),
    quantiles: told.map((p) => ({ p, value: fromKm(at(p)) })),
  });
  const targets: ForecastResult["targets"] = [];
  for (const value of one.targets) {
    await breathe();
    targets.push(targetOf(one, law, value, toKm(value)));
  }
  return {
    id: one.id,
    now: law && spread(law.meanToday(), (p) => law.totalToday(p)),
    perDay: law && spread(law.meanPerDay(), (p) => law.perDay(p)),
    targets,
    held,
  };
}

function targetOf(one: ForecastCase, law: Law | null, value: number, km: number) {
  const days = law?.daysReached(km, one.quantiles, FURTHEST_DAYS);
  const today = one.asOf / MS_PER_DAY;
  return {
    value,
    quantiles: one.quantiles.map((p, index) => {
      const day = days?.[index] ?? null;
      return { p, at: day === null ? null : Math.round(day * MS_PER_DAY) };
    }),
    within: one.withinDays.map((ahead) => ({
      days: ahead,
      probability: law?.reachedBy(km, today + ahead) ?? 0,
    })),
  };
}

function lawOf(
  { kind, layUps, hemisphere, declaredPerYear }: ForecastCase,
  readings: readonly { at: Instant; total: number }[],
  asOf: Instant,
  toKm: (distance: number) => number,
): Law | null {
  if (readings.length === 0) return null;
  return fitDistance({
    kind,
    asOf: asOf / MS_PER_DAY,
    readings: readings.map(({ at, total }) => ({ day: at / MS_PER_DAY, km: toKm(total) })),
    layUps: layUps.map(({ from, to }) => ({
      from: dayNumber(from),
      to: to === null ? null : dayNumber(to),
    })),
    south: hemisphere === "south",
    ...(declaredPerYear !== null && { declaredKmPerYear: toKm(declaredPerYear) }),
  });
}

interface Judged {
  accepted: Known[];
  held: ForecastResult["held"];
}

/**
 * Judges the readings in their order in time, as they would be on being posted, but with what only
 * hindsight knows: a surprising one that a later one runs on from stands, and where a later one shows
 * that the one before it was the slip, that one is held instead.
 */
async function judgeReadings(
  one: ForecastCase,
  toKm: (distance: number) => number,
  breathe: Breathe,
): Promise<Judged> {
  const accepted: Known[] = [];
  const held: ForecastResult["held"] = [];
  const known = one.readings.filter(({ at }) => at <= one.asOf).sort((a, b) => a.at - b.at);
  for (const [index, { at, value }] of known.entries()) {
    await breathe();
    const reading = { id: String(index), at, value, unit: one.unit, confirmed: false } as const;
    const confirmed = known[index + 1] !== undefined && (known[index + 1]?.value ?? 0) >= value;
    let judged = judgeOne(one, reading, accepted, toKm);
    const slip = slipBefore(judged, accepted);
    if (slip) {
      accepted.splice(accepted.indexOf(slip.reading), 1);
      held.push({ at: slip.reading.at, value: slip.reading.value, reasons: slip.reasons });
      judged = judgeOne(one, reading, accepted, toKm);
    }
    if (judged.status === "same") continue;
    const stands = judged.status === "accepted" || (confirmed && !contradicts(judged.reasons));
    if (stands) accepted.push({ ...reading, total: judged.total, status: "accepted" });
    else if (judged.status === "held") held.push({ at, value, reasons: judged.reasons });
  }
  return { accepted, held: held.sort((a, b) => a.at - b.at) };
}

/** The earlier reading that a later one shows to be the slip, and how the two contradict each other. */
function slipBefore(
  judged: Acceptance,
  accepted: readonly Known[],
): { reading: Known; reasons: HoldReason[] } | null {
  if (judged.status !== "held") return null;
  const shown = judged.reasons.find(({ code }) => code === "earlierIsTheSlip");
  if (!shown) return null;
  const reading = accepted.find(({ id }) => id === shown.earlierReadingId);
  if (!reading) return null;
  const others = judged.reasons.filter(({ code }) => code !== "earlierIsTheSlip");
  const { likelierValue } = shown;
  const likelier = likelierValue !== undefined && { likelierValue };
  return { reading, reasons: others.map(({ code }) => ({ code, ...likelier })) };
}

/** Whether it cannot be right beside readings that stand, however surprising they are themselves. */
function contradicts(reasons: readonly HoldReason[]): boolean {
  return reasons.some(({ code }) => code === "runsBackwards" || code === "sameInstantOtherValue");
}

function judgeOne(
  one: ForecastCase,
  posted: { at: Instant; value: number; unit: DistanceUnit },
  accepted: readonly Known[],
  toKm: (distance: number) => number,
): Acceptance {
  return acceptReading(posted, accepted.slice(-JUDGED_BY), [], {
    meterUnit: one.unit,
    kind: one.kind,
    now: one.asOf,
    confirmed: false,
    expect: (before, at) => {
      const law = lawOf(one, before, at, toKm);
      return law && expectationOf(law, at / MS_PER_DAY, toKm);
    },
  });
}
