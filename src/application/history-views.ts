import type { PlainDate } from "../domain/calendar/plain-date.ts";
import type { Measurement, Verdict } from "../domain/finding/point.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import type { MachineView, PointView } from "./views.ts";

/** One finding with the limits that held when it was taken; values in the point's unit. */
export interface FindingView {
  point: PointView;
  asFound: Measurement;
  verdict: Verdict;
  asLeft?: Measurement;
  verdictAsLeft?: Verdict;
  condition?: { cold?: boolean; engineTemperature?: number };
  note?: string;
}

export interface PartUsedView {
  name: string;
  number?: string;
  quantity?: number;
}

export interface MoneyView {
  amount: string;
  currency: string;
}

/** What a work record says at one time. */
export interface WorkStateView {
  doneOn: PlainDate;
  /** As posted. */
  reading?: { value: number; unit: DistanceUnit | "h" };
  titles: readonly string[];
  by: { name: string; trade?: "owner" | "workshop" };
  findings: readonly FindingView[];
  parts: readonly PartUsedView[];
  minutes?: number;
  /** Left out for those who may not see costs. */
  cost?: MoneyView;
  notes?: string;
}

/** A change to a work record: its reason and what it said before stay visible. */
export interface WorkRevisionView {
  on: PlainDate;
  what: "amended" | "void";
  reason: string;
  before?: WorkStateView;
}

export interface WorkRecordView extends WorkStateView {
  id: string;
  inWindow: "within" | "outside" | null;
  status: "standing" | "amended" | "void";
  /** Oldest first. */
  revisions: readonly WorkRevisionView[];
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
