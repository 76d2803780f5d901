import type { PlainDate } from "../domain/calendar/plain-date.ts";
import type { DigestPace, DigestSpan } from "../domain/reminder/digest.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import type { DueTold, JobView, MachineView, MailFrameView } from "./views.ts";

/** The first few of a list, with how many there are in all. */
export interface Listed<T> {
  items: readonly T[];
  count: number;
}

/** One job: overdue, due, or (`ahead`) likely to fall due before the span ends. */
export interface DigestItemView extends DueTold, Pick<JobView, "title" | "cautions"> {
  links: { logWork: string };
}

export interface DigestMachineView extends MachineView {
  /** Who looks after it, where that is not the reader. */
  keeper?: string;
  laidUp: boolean;
  /** The most pressing first. */
  jobs: Listed<DigestItemView>;
}

/** A reading that waits for somebody to look at it, in the unit that it was posted in. */
export interface HeldReadingView {
  machine: string;
  value: number;
  unit: DistanceUnit | "h";
  on: PlainDate;
  likelierValue?: number;
}

/** A machine that nobody has read for long; `last` is absent where nobody ever did. */
export interface SilentMachineView {
  machine: string;
  last?: { value: number; unit: DistanceUnit | "h"; on: PlainDate };
  links: { postReading: string };
}

export interface LoggedWorkView {
  machine: string;
  titles: readonly string[];
  on: PlainDate;
}

/** A mail that could not be delivered, or a member whose address is written to no more. */
export interface UndeliveredView {
  member: string;
  /** The mail server's own words. */
  answer: string;
}

/** What a member is told of all machines in their care, each week or month. */
export interface DigestMailView extends MailFrameView {
  pace: DigestPace;
  span: DigestSpan;
  /** Jobs past their permitted window, and jobs due now or likely so by the end of the span. */
  overdue: number;
  due: number;
  /** The machines that these jobs are on, the most pressing first. */
  machines: Listed<DigestMachineView>;
  /** The others; `clearUntil`: nothing of theirs is likely to fall due before it, null: ever. */
  others: { machines: number; clearUntil: PlainDate | null };
  /** What is likely to fall due in the span after this one, which ends on `to`. */
  next: { to: PlainDate; jobs: number; machines: number };
  /** Jobs whose last work or meter nobody knows, so that nothing can be said of them. */
  unforeseen: number;
  held: Listed<HeldReadingView>;
  silent: Listed<SilentMachineView>;
  /** The day of the last digest: from then on work was logged and mail failed. */
  since: PlainDate;
  work: Listed<LoggedWorkView>;
  undelivered: Listed<UndeliveredView>;
  /** Members whose address was refused: they hear nothing. */
  refused: Listed<UndeliveredView>;
  /** Deliveries to webhooks that were given up. */
  failedDeliveries: number;
}
