import type { Instant, PlainDate } from "../domain/calendar/plain-date.ts";
import type { MeasuringPoint } from "../domain/finding/point.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";

/**
 * What a person is shown, as plain data. Application code builds these values, src/render turns
 * them into mail, pages, charts, print and files. Distances and dues are in the machine's meter
 * unit, dates in the reader's zone; nothing in here is escaped.
 */

/** Which limit a task comes due by. */
export type DueRule = "distance" | "hours" | "date";

/** What shows that a due point is reached: the calendar, a posted reading, or more likely than not. */
export type ReachedBy = "calendar" | "reading" | "forecast";

/** Dates at P10, P90 and P50, and P25, P75 where known; null lies beyond what can be told. */
export interface LikelyDates {
  from: PlainDate | null;
  to: PlainDate | null;
  most: PlainDate | null;
  innerFrom?: PlainDate | null;
  innerTo?: PlainDate | null;
}

/** A distance, an hour count, a date: whichever of them a due point has. */
export interface DueView {
  distance?: number;
  hours?: number;
  date?: PlainDate;
}

/** An estimate of what a meter shows, in its unit. */
export interface EstimateView {
  p10: number;
  p50: number;
  p90: number;
}

export interface SpanView<T> {
  from: T;
  to: T;
}

/** The permitted window of each limit: from the earliest to the latest point that still counts. */
export interface WindowView {
  distance?: SpanView<number>;
  hours?: SpanView<number>;
  date?: SpanView<PlainDate>;
}

/** Why a due point lies where it lies. */
export type WhyView =
  | {
      code: "interval";
      distance?: number;
      months?: number;
      hours?: number;
      whichever: "first" | "last";
      /** The run-in service, which comes once. */
      first?: boolean;
    }
  | { code: "mark"; distance: number }
  | { code: "lastWork"; on?: PlainDate; distance?: number }
  | { code: "severe"; factor: number; reason: string }
  | { code: "wear"; point: string; distance: number }
  | { code: "made"; on: PlainDate };

export interface PartView {
  name: string;
  number?: string;
  quantity?: string;
}

export interface FluidView {
  name: string;
  grade?: string;
  quantity?: string;
}

/** A measuring point with its limits and, for a feeler, the leaves to try in order, in its unit. */
export interface PointView {
  name: string;
  unit?: string;
  lower?: number;
  upper?: number;
  method: MeasuringPoint["method"];
  leavesToTry?: readonly number[];
}

/** What a person needs at the machine for one task. */
export interface JobView {
  title: string;
  minutes?: number;
  access?: readonly string[];
  steps?: readonly string[];
  tools?: readonly string[];
  parts?: readonly PartView[];
  fluids?: readonly FluidView[];
  points?: readonly PointView[];
  cautions?: readonly string[];
  closingChecks?: readonly string[];
}

export interface MachineView {
  name: string;
  group?: string;
  meterUnit: DistanceUnit;
  /** Titles of open `do not ride` defects: shown wherever the machine is shown. */
  doNotRide?: readonly string[];
}

/** How a due point stands: by which limit, when, and what is left of it. */
export interface DueTold {
  stage: "ahead" | "due" | "overdue";
  byRule: DueRule;
  due: DueView;
  /** Absent where no forecast can be made. */
  likely?: LikelyDates;
  /** Set with `due` and `overdue`. */
  reachedBy?: ReachedBy;
  why?: readonly WhyView[];
  /** Negative once passed. */
  distanceLeft?: number;
  hoursLeft?: number;
  window?: WindowView;
}

export interface ReminderItemView extends JobView, DueTold {
  taskId: string;
  occurrence: string;
  revision: number;
  links: { logWork: string; defer: string };
}

export interface ReminderMachineView extends MachineView {
  meterToday?: EstimateView;
  hoursToday?: EstimateView;
  laidUp: boolean;
  /** Whether a reading is asked for along with the reminder. */
  asks: boolean;
  /** Whether it is asked if the lay-up that runs has ended. */
  asksAfterLayUp?: boolean;
  lastReading?: { value: number; on: PlainDate };
  items: readonly ReminderItemView[];
  links: { postReading: string; layUp: string };
}

/** Who a mail goes to and how it is left. */
export interface MailFrameView {
  locale: string;
  zone: string;
  member: { name: string };
  accountName: string;
  today: PlainDate;
  links: { unsubscribePage: string; unsubscribeOneClick: string };
}

export interface ReminderMailView extends MailFrameView {
  /** At least one, the most pressing first; one without items only asks for a reading. */
  machines: readonly ReminderMachineView[];
}

export interface ForecastChartView {
  machine: { name: string; group?: string; doNotRide?: readonly string[] };
  /** In time order; a held one carries the value that is likelier. */
  readings: ReadonlyArray<{
    at: Instant;
    value: number;
    status: "accepted" | "held";
    likelierValue?: number;
  }>;
  /** `to` is the first day of use again, null while it lasts. */
  layUps: ReadonlyArray<{ from: PlainDate; to: PlainDate | null }>;
  /** Quantiles of the meter from now on, in time order. */
  fan: ReadonlyArray<{
    at: Instant;
    p10: number;
    p25: number;
    p50: number;
    p75: number;
    p90: number;
  }>;
  dueLines: ReadonlyArray<{ title: string; value: number } & LikelyDates>;
  unit: DistanceUnit | "h";
  now: Instant;
  locale: string;
  zone: string;
}

/** A short mail with one link, or with one thing to know. */
export interface NoticeMailView extends MailFrameView {
  notice:
    | { code: "confirmAddress"; link: string }
    | { code: "freshLink"; purpose: string; link: string }
    /** To the account's owner: a member's mail server knows no such mailbox, in its own words. */
    | { code: "addressRefused"; name: string; address: string; answer: string };
}

/** A mail as it goes out. */
export interface RenderedMail {
  subject: string;
  text: string;
  html: string;
  headers: Record<string, string>;
  attachments: readonly { filename: string; contentType: string; content: string }[];
}
