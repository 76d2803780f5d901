import { paceSince } from "./pace-since.ts";
import { pointMethod } from "./point-method.ts";

/** The rate is the mean from the first reading to the last. */
export const OVERALL_AVERAGE = pointMethod(
  "overall average",
  ({ track, prior }) => paceSince(track, track[0].day) ?? prior,
);
