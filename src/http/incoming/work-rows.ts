import type { RowFault } from "../../application/imports/import-report.ts";
import type { WorkRow } from "../../application/imports/import-work.ts";
import { externalId, id, text } from "../schemas/common.ts";
import { workBody } from "../schemas/work-record.ts";
import { checked, listIn, moneyIn, numberIn } from "./cells.ts";
import type { Cells } from "./read-table.ts";

export const WORK_COLUMNS = [
  "vehicleId",
  "vehicleExternalId",
  "doneAt",
  "reading",
  "unit",
  "tasks",
  "by",
  "trade",
  "minutes",
  "labour",
  "cost",
  "notes",
  "externalId",
] as const;

export const WORK_NEEDS = ["doneAt"];

const row = workBody.omit({ taskIds: true, findings: true, parts: true }).safeExtend({
  vehicleId: id.optional(),
  vehicleExternalId: externalId.optional(),
  tasks: text(300).array().max(100),
});

const UUID = /^[0-9a-f-]{36}$/i;
const MONEY = 'must be an amount and the three letters of its currency, such as "12.50 EUR"';

/** A row of work, checked as work that is posted alone. */
export function workRow(cells: Cells): WorkRow | { faults: RowFault[] } {
  const [vehicleId, vehicleExternalId, doneAt, reading, unit, tasks, by, trade, minutes] = cells;
  const [labour, cost, notes, ownId] = cells.slice(9);
  const who = by === undefined ? undefined : UUID.test(by) ? { memberId: by } : { name: by };
  const read = checked(
    row,
    {
      ...{ vehicleId, vehicleExternalId, doneAt, minutes: numberIn(minutes), notes },
      reading: reading === undefined ? undefined : { value: numberIn(reading), unit },
      tasks: listIn(tasks),
      by: who && { ...who, trade },
      labour: moneyIn(labour),
      cost: moneyIn(cost),
      externalId: ownId,
    },
    columnOf,
  );
  if ("faults" in read) return { faults: moneyTold(read.faults) };
  if (who === undefined && trade !== undefined) return fault("trade", "needs who did it, in by");
  if (reading === undefined && unit !== undefined) return fault("unit", "needs a reading");
  return rowOf(read.value);
}

function rowOf({ vehicleId, vehicleExternalId, ...work }: ReturnType<typeof row.parse>): WorkRow {
  const { doneAt, reading, by, tasks, ...rest } = work;
  const input = {
    ...rest,
    doneAt: "instant" in doneAt ? doneAt.instant : doneAt.date,
    reading: reading && { value: reading.value, unit: reading.unit },
    performedBy: by,
    findings: [],
    parts: [],
  };
  return { vehicleId, vehicleExternalId, input, tasks };
}

/** The fields of a body that lie deeper stand in columns of their own. */
function columnOf([field, inner]: readonly (string | number)[]): string {
  if (field === "reading" && inner === "unit") return "unit";
  if (field === "by" && inner === "trade") return "trade";
  return String(field);
}

/** Whatever is wrong with an amount is told once, as one cell. */
function moneyTold(faults: readonly RowFault[]): RowFault[] {
  const isMoney = ({ column }: RowFault) => column === "labour" || column === "cost";
  const columns = new Set(faults.filter(isMoney).map(({ column }) => column));
  return [
    ...faults.filter((one) => !isMoney(one)),
    ...[...columns].map((column) => ({ column, detail: MONEY })),
  ];
}

function fault(column: string, detail: string): { faults: RowFault[] } {
  return { faults: [{ column, detail }] };
}
