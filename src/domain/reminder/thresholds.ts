/** From which probability a reminder speaks. */
export interface Thresholds {
  /** `ahead`: P(reached within the lead), or P(no more than the lead distance is left). */
  readonly ahead: number;
  /** `ahead` at the latest: P(reached within the lead) of a machine that is certainly ridden on. */
  readonly floor: number;
  /** `due` and `overdue` by the forecast: more likely than not. */
  readonly likely: number;
}

/**
 * How much dearer a reminder that comes too late is than one that comes too early, unless a task
 * says otherwise: 7 to 3, the ratio that makes the threshold 0.3, at which reminders of real
 * series came 7 to 60 days ahead most often.
 */
export const LATE_TO_EARLY = 7 / 3;

/** The least number above one half: a probability that reaches it is more likely than not. */
export const MORE_LIKELY_THAN_NOT = 0.5 + Number.EPSILON;

/**
 * The probability from which speaking costs less than waiting. With p the chance that the due point
 * is reached within the lead, speaking costs (1 - p) early and waiting costs p late; the first is
 * the smaller from p = early / (early + late). `lateToEarly` > 0; 1 gives 0.5, larger speaks sooner.
 */
export function aheadThreshold(lateToEarly: number = LATE_TO_EARLY): number {
  return 1 / (1 + lateToEarly);
}

/**
 * The thresholds for a task. The floor is the date with P(parked) = 0: `ahead` comes no later than
 * the lead before the date on which a machine that is ridden on more likely than not falls due.
 */
export function thresholdsFor(lateToEarly: number = LATE_TO_EARLY): Thresholds {
  const ahead = aheadThreshold(lateToEarly);
  return {
    ahead,
    floor: Math.max(ahead, MORE_LIKELY_THAN_NOT),
    likely: MORE_LIKELY_THAN_NOT,
  };
}
