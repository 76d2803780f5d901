import { type LimitPoint, USUAL_WINDOW_PARTS } from "./limit-point.ts";

/** A limit counted on a meter, in that meter's unit (distance or hours); `length` above 0. */
export interface MeterInterval {
  length: number;
  early: number | undefined;
  late: number | undefined;
}

/** The point one interval after the total at which counting starts. */
export function meterPointFrom(start: number, interval: MeterInterval): LimitPoint<number> {
  return withWindow(start + interval.length, interval);
}

/**
 * The first printed mark (one interval, two, ... from 0) that work at the total `doneAt` does not
 * cover: work covers every mark up to its own total plus `early`. `null`: never done.
 */
export function firstUncoveredMark(
  doneAt: number | null,
  interval: MeterInterval,
): LimitPoint<number> {
  let count = 1;
  if (doneAt !== null) {
    count = Math.max(1, Math.floor(doneAt / interval.length));
    // The same edge that is told decides, so that rounding never lets the two contradict.
    while (withWindow(count * interval.length, interval).early <= doneAt) count++;
  }
  return withWindow(count * interval.length, interval);
}

function withWindow(at: number, interval: MeterInterval): LimitPoint<number> {
  const usual = interval.length / USUAL_WINDOW_PARTS;
  return { at, early: at - (interval.early ?? usual), late: at + (interval.late ?? usual) };
}
