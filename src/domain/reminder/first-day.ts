/**
 * Looking for the first whole day on which a probability reaches a level, with few evaluations.
 * Whole days (midnight UTC), so that the answer does not depend on where the search began.
 */
export type OfDay = (day: number) => number;

/** A fraction of the level below which a peak between two samples is not worth a closer look. */
const HOPELESS_PEAK = 0.7;

/** The fraction of the level below which a probability that keeps falling is not followed. */
const GIVEN_UP = 2 / 3;

/** How much further from its origin each sample lies than the one before. */
const STRETCH = 1.4;

const FIRST_STRIDE = 8;

/**
 * The first day at which a non-decreasing `f` reaches the level, within [from, to]; `null` if it
 * does not. `clear` is a day up to which `f` was seen below `lower`, or `from - 1`. Takes about
 * log2 of the days searched, twice.
 */
export function firstOfRising(
  f: OfDay,
  level: number,
  lower: number,
  [from, to]: readonly [number, number],
): { day: number | null; clear: number } {
  let clear = from - 1;
  let below = from - 1;
  for (let day = from, stride = FIRST_STRIDE; day <= to; stride *= 2) {
    const value = f(day);
    if (value >= level) return { day: narrowed(f, level, below, day), clear };
    below = day;
    if (value < lower) clear = day;
    if (day === to) break;
    day = Math.min(to, day + stride);
  }
  return { day: null, clear };
}

/**
 * The first day of [from, to] at which `f`, which may rise and then fall, reaches the level.
 * Known: `f` is below the level at `origin`, the moment from which silence grows; nothing is
 * expected before `from`, yet a level already reached there is traced back. Samples lie at
 * distances from `origin` that grow by two fifths, since both the rise and the fall of the law take
 * times in proportion to the silence; a peak that nearly reaches the level is looked at more closely.
 *
 * Missed can be: a rise and fall between two samples, and a second rise after a fall to below two
 * thirds of the level. A caller with a floor hands it in as `to`: then a miss costs at most the
 * days from there to the floor, never the reminder.
 */
export function firstOfHumped(
  f: OfDay,
  level: number,
  origin: number,
  [from, to]: readonly [number, number],
): number | null {
  let [before, last]: [Sample, Sample] = [atOrigin(origin), atOrigin(origin)];
  let falls = 0;
  for (let day = from; day <= to; day = nextSample(day, origin, to)) {
    const sample = { day, value: f(day) };
    if (sample.value >= level) return narrowed(f, level, last.day, day);
    falls = sample.value < last.value ? falls + 1 : 0;
    if (falls === 1 && last.value > HOPELESS_PEAK * level) {
      const found = firstNearPeak(f, level, [before, last, sample]);
      if (found !== null) return found;
    }
    if (day === to || (falls >= 2 && sample.value < GIVEN_UP * level)) return null;
    [before, last] = [last, sample];
  }
  return null;
}

interface Sample {
  readonly day: number;
  readonly value: number;
}

function atOrigin(origin: number): Sample {
  return { day: Math.floor(origin), value: 0 };
}

function nextSample(day: number, origin: number, to: number): number {
  return Math.min(to, Math.max(day + 2, Math.ceil(origin + (day - origin) * STRETCH)));
}

/** Halves the days on both sides of a peak twice; the first day at the level, if one shows. */
function firstNearPeak(
  f: OfDay,
  level: number,
  [left, peak, right]: readonly [Sample, Sample, Sample],
): number | null {
  let [low, top, high] = [left, peak, right];
  for (let round = 0; round < 2; round += 1) {
    const a = between(f, low, top);
    if (a.value >= level) return narrowed(f, level, low.day, a.day);
    const b = between(f, top, high);
    if (b.value >= level) return narrowed(f, level, top.day, b.day);
    if (a.value > top.value) [top, high] = [a, top];
    else if (b.value > top.value) [low, top] = [top, b];
    else [low, high] = [a, b];
  }
  return null;
}

function between(f: OfDay, a: Sample, b: Sample): Sample {
  const day = Math.floor((a.day + b.day) / 2);
  if (day === a.day) return a;
  return { day, value: f(day) };
}

/** The first day at the level in (below, reached], by halving. */
function narrowed(f: OfDay, level: number, below: number, reached: number): number {
  let [low, high] = [below, reached];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (f(middle) >= level) high = middle;
    else low = middle;
  }
  return high;
}
