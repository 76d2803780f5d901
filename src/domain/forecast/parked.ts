/** Silence is measured in usual gaps stretched by this. */
const GAP_STRETCH = 1.3;
const LEAST_SCATTER = 0.05;
const MOST_SCATTER = 2;
/** Silence alone never proves that a machine is parked. */
const MOST = 0.9;

/** What the odds of being parked rest on, apart from the silence. */
export interface ParkedEvidence {
  /** Odds of the kind. */
  readonly odds: number;
  /** Scatter of this machine over the scatter expected of its kind. */
  readonly relativeScatter: number;
  /** Power of it by which it scales the odds. */
  readonly scatterPower: number;
  /** Usual gap between readings, clock days. */
  readonly gap: number;
  /** Upper bound while fewer than three readings are known, else 1. */
  readonly most: number;
}

/**
 * P(the machine is parked), given `silence` clock days without a reading: odds of the kind, scaled
 * by scatter, times 1 + x^2 with x = silence/(1.3 gap), which is one over the chance that someone
 * who rides stays silent so long (log-logistic of shape 2).
 */
export function parkedAfter(silence: number, evidence: ParkedEvidence): number {
  const scatter = Math.min(MOST_SCATTER, Math.max(LEAST_SCATTER, evidence.relativeScatter));
  const x = silence / (GAP_STRETCH * evidence.gap);
  const odds = evidence.odds * scatter ** evidence.scatterPower * (1 + x * x);
  return Math.min(odds / (1 + odds), MOST, evidence.most);
}
