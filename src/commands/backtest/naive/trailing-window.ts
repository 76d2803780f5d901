import { lastPoint } from "../../../domain/usage/track.ts";
import { paceSince } from "./pace-since.ts";
import { pointMethod } from "./point-method.ts";

const WINDOW_DAYS = 90;

/** The rate is the mean over the readings of the 90 days up to the last, at least over two. */
export const TRAILING_WINDOW = pointMethod(
  "trailing window",
  ({ track, prior }) => paceSince(track, lastPoint(track).day - WINDOW_DAYS) ?? prior,
);
