import { paceSince } from "./pace-since.ts";
import { pointMethod } from "./point-method.ts";

/** The rate is that from the reading before to the last; equal totals are passed over. */
export const LAST_TWO = pointMethod(
  "slope of the last two readings",
  ({ track, prior }) => paceSince(track, Number.POSITIVE_INFINITY) ?? prior,
);
