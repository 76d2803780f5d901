/**
 * Where one limit falls due, with the edges of its permitted window: a total in the meter's unit,
 * a total of hours, or a plain date. Work on an edge still lies within.
 */
export interface LimitPoint<T extends number | string> {
  at: T;
  early: T;
  late: T;
}

/** The share of an interval by which work may be early or late where nothing else is told. */
export const USUAL_WINDOW_PARTS = 10;
