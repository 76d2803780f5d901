import type { Loop } from "./closed-loop.ts";
import type { Group } from "./groups.ts";
import type { Measured } from "./measure.ts";
import { seeded } from "./seeded.ts";

/** One method on every series, in the order of the series. */
export interface Tested {
  readonly method: string;
  readonly measured: readonly Measured[];
  readonly loops: readonly Loop[];
}

/** One line of a table. Shares are 0 to 1; each series weighs the same in the scores. */
export interface Row {
  readonly method: string;
  /** Continuous ranked probability score, days. */
  readonly crps: number;
  /** The same of ln(days since the last reading + 14). */
  readonly log: number;
  /** The log score over that of the overall average, with a 90 % range by resampling whole series. */
  readonly toAverage: number;
  readonly toAverageRange: readonly [number, number];
  readonly covered: number;
  readonly below: number;
  readonly above: number;
  readonly dues: number;
  readonly inTime: number;
  readonly tooEarly: number;
  readonly tooLate: number;
}

/** What was believed of the next 21 days, in tenths, and how often it came. */
export interface ReliabilityRow {
  readonly from: number;
  readonly to: number;
  readonly count: number;
  readonly believed: number;
  readonly came: number;
}

const TIMES = 1000;
const BINS = 10;

/** The line of one method over one group; `average` is the method that it is compared with. */
export function rowOf(tested: Tested, average: Tested, { members }: Group): Row {
  const mean = (of: (one: Measured) => number) => meanOver(tested, members, of);
  const logs = (of: Tested) => members.map((place) => logOf(of.measured[place]));
  const [own, others] = [logs(tested), logs(average)];
  const loop = (key: keyof Loop) =>
    members.reduce((sum, place) => sum + (tested.loops[place]?.[key] ?? 0), 0);
  const dues = loop("dues");
  const share = (key: keyof Loop) => (dues === 0 ? 0 : loop(key) / dues);
  const [below, above] = [
    mean((one) => one.below / one.origins),
    mean((one) => one.above / one.origins),
  ];
  return {
    method: tested.method,
    crps: mean((one) => one.days / one.origins),
    log: mean(logOf),
    toAverage: sum(own) / sum(others),
    toAverageRange: resampled(own, others),
    ...{ covered: 1 - below - above, below, above },
    ...{ dues, inTime: share("inTime"), tooEarly: share("tooEarly"), tooLate: share("tooLate") },
  };
}

/** The reliability of P(within 21 days) over a group. */
export function reliabilityOf({ measured }: Tested, { members }: Group): ReliabilityRow[] {
  const all = members.flatMap((place) => measured[place]?.within ?? []);
  return Array.from({ length: BINS }, (_, bin) => {
    const inside = all.filter(
      ({ believed }) => Math.min(BINS - 1, Math.floor(believed * BINS)) === bin,
    );
    const count = inside.length;
    return {
      from: bin / BINS,
      to: (bin + 1) / BINS,
      count,
      believed: count === 0 ? 0 : sum(inside.map(({ believed }) => believed)) / count,
      came: count === 0 ? 0 : inside.filter(({ came }) => came).length / count,
    };
  });
}

/** The closed loop over a group, added up. */
export function loopOf(loops: readonly Loop[], { members }: Group): Loop {
  const total = { dues: 0, inTime: 0, tooEarly: 0, tooLate: 0, asks: 0, days: 0 };
  for (const place of members) {
    const one = loops[place];
    if (one === undefined) continue;
    for (const key of Object.keys(total) as (keyof Loop)[]) total[key] += one[key];
  }
  return total;
}

function meanOver(
  { measured }: Tested,
  members: readonly number[],
  of: (one: Measured) => number,
): number {
  const values = members.flatMap((place) => {
    const one = measured[place];
    return one === undefined ? [] : [of(one)];
  });
  return sum(values) / values.length;
}

function logOf(one: Measured | undefined): number {
  return one === undefined ? 0 : one.log / one.origins;
}

/** The 5th and 95th hundredth of the ratio of two sums, whole series drawn again with replacement. */
function resampled(own: readonly number[], others: readonly number[]): [number, number] {
  const random = seeded(1);
  const ratios = Array.from({ length: TIMES }, () => {
    let [top, bottom] = [0, 0];
    for (let i = 0; i < own.length; i += 1) {
      const drawn = Math.floor(random() * own.length);
      top += own[drawn] ?? 0;
      bottom += others[drawn] ?? 0;
    }
    return top / bottom;
  }).sort((a, b) => a - b);
  return [ratios[TIMES / 20] ?? 0, ratios[TIMES - 1 - TIMES / 20] ?? 0];
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
