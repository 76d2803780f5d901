import type { PlainDate } from "../calendar/plain-date.ts";

/**
 * What is believed of one due point of one task if nothing more is posted. Days count from
 * 1970-01-01T00:00Z, with fractions; distances and totals are in the meter's unit.
 *
 * The probabilities are those of the meters (distance and engine hours). With "whichever comes
 * first" a calendar limit stands beside them as `dueDate`, since it is certain; with "whichever
 * comes last" the date is part of them, and `dueDate` is there only where no meter counts.
 */
export interface Outlook {
  /** P(the due point is reached by `by`), as it will be believed at `day`; never falls in `by`. */
  reached(day: number, by: number): number;
  /** The same with P(parked) = 0: never falls in `by` and does not depend on `day`. */
  reachedRiding(day: number, by: number): number;
  /** P(the late edge of the permitted window is passed by `by`), as it will be believed at `day`. */
  past(day: number, by: number): number;
  /** P(at most `distance` is left at `day`); absent where there is no distance limit. */
  leftAtMost?(day: number, distance: number): number;
  /** P(the total distance has reached `total` at `day`); absent where there is no distance meter. */
  totalReached?(day: number, total: number): number;
  /** Certain now, by an accepted reading. */
  readonly reachedByReading: boolean;
  readonly pastByReading: boolean;
  /** The date on which it falls due by the calendar. */
  readonly dueDate?: PlainDate | undefined;
  /** The last date of the permitted window; overdue from the day after. */
  readonly lateDate?: PlainDate | undefined;
}

/** The outlook of a machine that stands still: meters say nothing, the calendar runs on. */
export function calendarAlone(outlook: Outlook): Outlook {
  const never = () => 0;
  return {
    reached: never,
    reachedRiding: never,
    past: never,
    reachedByReading: false,
    pastByReading: false,
    dueDate: outlook.dueDate,
    lateDate: outlook.lateDate,
  };
}
