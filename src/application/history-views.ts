import type { PlainDate } from "../domain/calendar/plain-date.ts";
import type { Measurement, Verdict } from "../domain/finding/point.ts";
import type { Condition } from "./records.ts";
import type { MachineView, PartView, PointView } from "./views.ts";

export interface FindingView {
  point: Omit<PointView, "leavesToTry">;
  asFound: Measurement;
  verdict: Verdict;
  asLeft?: Measurement;
  verdictLeft?: Verdict;
  /** The state of the engine; its temperature in °C. */
  condition?: Condition;
  note?: string;
}

/** Money as the API tells it. */
export interface MoneyView {
  amount: string;
  currency: string;
}

export interface WorkRecordView {
  id: string;
  doneOn: PlainDate;
  reading?: number;
  titles: readonly string[];
  /** `name` is null for a member who has left. */
  by: { name: string | null; trade?: "owner" | "workshop" };
  window: "within" | "outside" | null;
  status: "standing" | "amended" | "void";
  /** Why it was last amended or voided; the record stays visible. */
  reason?: string;
  /** Each change, oldest first, with what the record said before it. */
  revisions?: ReadonlyArray<{
    on: PlainDate;
    what: "amended" | "void";
    reason: string;
    before?: { doneOn?: PlainDate; reading?: number; notes?: string };
  }>;
  findings: readonly FindingView[];
  parts: readonly PartView[];
  minutes?: number;
  /** Left out for those who may not see costs. */
  cost?: MoneyView;
  notes?: string;
  cautions?: readonly string[];
}

export interface ServiceHistoryView {
  locale: string;
  accountName: string;
  printedOn: PlainDate;
  machine: MachineView & {
    make?: string;
    model?: string;
    modelYear?: number;
    registration?: string;
    frameNumber?: string;
    inServiceOn?: PlainDate;
  };
  /** In the order of the work, newest last. */
  records: readonly WorkRecordView[];
}
