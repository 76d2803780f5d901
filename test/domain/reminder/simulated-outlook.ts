import type { Outlook } from "../../../src/domain/reminder/outlook.ts";

/** A rider made up for the tests: riding law log-logistic in time, silence that turns into parked. */
export interface SimulatedRider {
  lastDay: number;
  /** Days after the last reading by which the due point is reached with probability one half. */
  median: number;
  /** The permitted window ends this many times later than the median. */
  lateFactor?: number;
  spread: number;
  /** Odds of being parked with no silence; 0 = never parked. */
  odds: number;
  gap: number;
  /** Distance per day and the total of the due point, for leads and deferrals by distance. */
  perDay?: number;
  dueTotal?: number;
}

export function simulatedOutlook(
  rider: SimulatedRider,
  facts: Partial<Outlook> = {},
): Outlook & { evaluations: number } {
  const { lastDay, median, spread, odds, gap, lateFactor = 1.1 } = rider;
  const { perDay = 20, dueTotal = 10_000 } = rider;
  const law = (days: number, m: number) => (days <= 0 ? 0 : 1 / (1 + (days / m) ** (-1 / spread)));
  const parked = (silence: number) => {
    const grown = odds * (1 + (silence / (1.3 * gap)) ** 2);
    return Math.min(0.9, grown / (1 + grown));
  };
  const believed = (day: number, by: number, m: number) => {
    outlook.evaluations += 1;
    const silence = Math.max(0, day - lastDay);
    const p = parked(silence);
    const waits = [0.125, 0.375, 0.625, 0.875].map(
      (u) => Math.max(0, silence - gap) + (120 + silence) * ((1 - u) ** (-1 / 1.5) - 1),
    );
    const later = waits.reduce((sum, wait) => sum + law(by - lastDay - wait, m) / 4, 0);
    return (1 - p) * law(by - lastDay, m) + p * later;
  };
  const mediumOf = (total: number) => Math.max(0.01, median - (dueTotal - total) / perDay);
  const outlook = {
    evaluations: 0,
    reached: (day: number, by: number) => believed(day, by, median),
    reachedRiding: (_day: number, by: number) => {
      outlook.evaluations += 1;
      return law(by - lastDay, median);
    },
    past: (day: number, by: number) => believed(day, by, median * lateFactor),
    leftAtMost: (day: number, distance: number) =>
      believed(day, day, mediumOf(dueTotal - distance)),
    totalReached: (day: number, total: number) => believed(day, day, mediumOf(total)),
    reachedByReading: false,
    pastByReading: false,
    ...facts,
  };
  return outlook;
}

/** A task with dates alone. */
export function datedOutlook(dueDate: string, lateDate?: string): Outlook {
  const never = () => 0;
  return {
    reached: never,
    reachedRiding: never,
    past: never,
    reachedByReading: false,
    pastByReading: false,
    dueDate,
    lateDate,
  };
}
