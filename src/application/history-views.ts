import type { PlainDate } from "../domain/calendar/plain-date.ts";
import type { VerdictView } from "./page-views.ts";
import type { MachineView, PartView, PointView } from "./views.ts";

/** What was measured at a point, in the point's unit. */
export type MeasurementView =
  | { value: number }
  | { goes?: number; refuses?: number }
  | { look: "sound" | "watch" | "replace" }
  | { stated: true };

export interface FindingView {
  point: Omit<PointView, "leavesToTry">;
  asFound: MeasurementView;
  verdict: VerdictView;
  asLeft?: MeasurementView;
  verdictLeft?: VerdictView;
  /** "cold", "20 °C": the state of the engine. */
  condition?: string;
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
  by: { name: string; trade?: "owner" | "workshop" };
  window: "within" | "outside" | null;
  status: "standing" | "amended" | "void";
  /** Why it was amended or voided; the record stays visible. */
  reason?: string;
  /** Of a record that replaces an amended one. */
  amends?: string;
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
  /** What comes before the first record and was not seen here, said as it is. */
  demonstration?: boolean;
}
