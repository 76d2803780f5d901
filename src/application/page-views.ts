import type { PlainDate } from "../domain/calendar/plain-date.ts";
import type { HoldReason } from "../domain/meter/hold-reason.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import type { FindingView } from "./history-views.ts";
import type {
  EstimateView,
  JobView,
  LikelyDates,
  MachineView,
  PointView,
  ReminderItemView,
} from "./views.ts";

/** What the small pages behind email links are made from. */
export interface PageFrameView {
  locale: string;
  accountName: string;
  machine?: MachineView;
}

/** A form posts to its own path and carries a nonce, so that one submission counts once. */
export interface FormView extends PageFrameView {
  action: string;
  nonce: string;
  /** What was typed, by field name, to be kept when the form comes back. */
  typed?: Readonly<Record<string, string>>;
  faults?: readonly FieldFault[];
}

/** What is wrong with a field; the words are in the catalogue under `fault.<code>`. */
export interface FieldFault {
  field: string;
  code: FieldFaultCode;
}

export type FieldFaultCode =
  | "required"
  | "notNumber"
  | "negative"
  | "tooLarge"
  | "notDate"
  | "inFuture"
  | "notLater"
  | "notAfterFrom"
  | "leafOrder"
  | "notBoth"
  | "tooLong";

/** Fields: `value`, `unit`, `on`. */
export interface PostReadingPageView extends FormView {
  machine: MachineView;
  today: PlainDate;
  meterToday?: EstimateView;
  lastReading?: { value: number; on: PlainDate };
}

/**
 * Fields: `doneOn`, `reading`, `notes`; for the point with key k: `found.k.goes` and `.refuses`, or
 * `found.k.value`, or `found.k.look` (sound, watch, replace), `found.k.stated` (`yes`), the same
 * under `left.k` as it was left, and `note.k`.
 */
export interface LogWorkPageView extends FormView {
  machine: MachineView;
  today: PlainDate;
  meterToday?: EstimateView;
  job: Omit<JobView, "points"> & { points?: ReadonlyArray<PointView & { key: string }> };
}

/** Fields: `untilOn`, `untilDistance`; exactly one of them is to be filled in. */
export interface DeferPageView extends FormView {
  machine: MachineView;
  today: PlainDate;
  item: ReminderItemView;
  meterToday?: EstimateView;
}

/** Fields: `from`, `to`, `reason`; where a lay-up runs, `to` alone, the first day of use again. */
export interface LayUpPageView extends FormView {
  machine: MachineView;
  today: PlainDate;
  /** The lay-up that runs; `to` where its end is known already. */
  running?: { from: PlainDate; to?: PlainDate; reason?: string };
}

/** The page of a link that is about an address: to leave the mailing, or to confirm it. */
export interface AddressPageView extends FormView {
  email: string;
}

export interface ExpiredPageView extends FormView {
  /** What the expired link was for. */
  purpose: LinkPurpose;
}

export type LinkPurpose = "postReading" | "logWork" | "defer" | "layUp" | "unsubscribe";

/** A task that comes due next, as told after something was posted. */
export interface NextDueView {
  title: string;
  likely?: LikelyDates;
  /** Present once the due point is reached. */
  reached?: boolean;
  distance?: number;
  cautions?: readonly string[];
}

export interface DonePageView extends PageFrameView {
  today: PlainDate;
  done:
    | { code: "readingAccepted"; value: number; unit: DistanceUnit; next: readonly NextDueView[] }
    | {
        code: "readingHeld";
        value: number;
        unit: DistanceUnit;
        reasons: readonly HoldReason[];
      }
    | {
        code: "workLogged";
        title: string;
        window: "within" | "outside" | null;
        /** `tryLeaf` settles an open gap, in the unit of the point. */
        findings: ReadonlyArray<FindingView & { tryLeaf?: number }>;
        next: readonly NextDueView[];
      }
    | { code: "deferred"; title: string; untilOn?: PlainDate; untilDistance?: number }
    | { code: "layUpStarted"; from: PlainDate; to?: PlainDate }
    | { code: "layUpEnded"; to: PlainDate }
    | { code: "unsubscribed"; email: string }
    | { code: "addressConfirmed"; email: string }
    | { code: "linkMailed" };
  /** Where to post a reading: again where it was held, or one that is wanted next. */
  links?: { postReading?: string };
}

export interface FaultPageView extends PageFrameView {
  code: "badLink" | "notFound" | "alreadyCounted" | "tooMany" | "ours";
  requestId?: string;
}
