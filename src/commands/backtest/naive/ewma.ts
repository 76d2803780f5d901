import { lastPoint } from "../../../domain/usage/track.ts";
import { forgotten } from "./forgotten.ts";
import { intervalsOf } from "./intervals.ts";
import { pointMethod } from "./point-method.ts";

const HALF_LIFE = 60;
/** Days before the first reading that the prior rate is worth; forgotten like all other days. */
const PRIOR_DAYS = 30;

/** The rate is an exponentially weighted moving average, begun at the prior rate. */
export const EWMA = pointMethod("EWMA with a prior", ({ track, prior }) => {
  const { days, km } = forgotten(intervalsOf(track), HALF_LIFE);
  const priorDays = PRIOR_DAYS * 2 ** ((track[0].day - lastPoint(track).day) / HALF_LIFE);
  return (km + prior * priorDays) / (days + priorDays);
});
