import { stringify } from "csv-stringify/sync";
import type {
  FindingView,
  ServiceHistoryView,
  WorkRecordView,
} from "../application/history-views.ts";
import type { Measurement } from "../domain/finding/point.ts";
import { partText } from "./service-history.ts";

/** The columns, in this order for good: programs read them. New ones go to the end. */
const COLUMNS = [
  ...["doneOn", "reading", "unit", "tasks", "window", "status", "reason", "by", "trade"],
  ...["point", "pointUnit", "lower", "upper", "asFound", "foundGoes", "foundRefuses", "verdict"],
  ...["asLeft", "leftGoes", "leftRefuses", "verdictLeft", "condition", "findingNote"],
  ...["parts", "minutes", "cost", "currency", "notes", "recordId"],
] as const;

type Cell = string | number | undefined;

/**
 * A service history as CSV (RFC 4180): one line a finding, or one for a record without any; numbers
 * with a decimal point whatever the language. Text that a spreadsheet would run as a formula is
 * disarmed by an apostrophe.
 */
export function serviceHistoryCsv(view: ServiceHistoryView): string {
  const rows = view.records.flatMap((record) => {
    const findings: Array<FindingView | undefined> =
      record.findings.length > 0 ? [...record.findings] : [undefined];
    return findings.map((finding) => rowOf(record, finding, view.machine.meterUnit));
  });
  return stringify(rows, {
    header: true,
    columns: [...COLUMNS],
    record_delimiter: "windows",
    escape_formulas: true,
  });
}

function rowOf(
  record: WorkRecordView,
  finding: FindingView | undefined,
  unit: string,
): Partial<Record<(typeof COLUMNS)[number], Cell>> {
  const { doneOn, reading, titles, window, status, reason, by, parts, minutes, cost, notes } =
    record;
  return {
    ...{ doneOn, reading, status, reason, minutes, notes },
    unit: reading === undefined ? undefined : unit,
    tasks: titles.join("; "),
    window: window ?? undefined,
    by: by.name ?? undefined,
    trade: by.trade,
    ...(finding && findingCells(finding)),
    parts: parts.map(partText).join("; "),
    cost: cost?.amount,
    currency: cost?.currency,
    recordId: record.id,
  };
}

function findingCells(finding: FindingView): Record<string, Cell> {
  const { point, verdict, verdictLeft, condition, note } = finding;
  const found = measured(finding.asFound);
  const left = measured(finding.asLeft);
  return {
    point: point.name,
    pointUnit: point.unit,
    lower: point.lower,
    upper: point.upper,
    asFound: found.value,
    foundGoes: found.goes,
    foundRefuses: found.refuses,
    verdict,
    asLeft: left.value,
    leftGoes: left.goes,
    leftRefuses: left.refuses,
    verdictLeft,
    condition: conditionCell(condition),
    findingNote: note,
  };
}

function conditionCell({ cold, engineTemperature }: FindingView["condition"] = {}): Cell {
  const state = [cold && "cold", engineTemperature !== undefined && `${engineTemperature} °C`];
  return state.filter(Boolean).join(", ") || undefined;
}

function measured(measurement: Measurement | undefined): {
  value?: Cell;
  goes?: Cell;
  refuses?: Cell;
} {
  if (!measurement) return {};
  if ("stated" in measurement) return { value: "stated" };
  if ("look" in measurement) return { value: measurement.look };
  return measurement as { value?: number; goes?: number; refuses?: number };
}
