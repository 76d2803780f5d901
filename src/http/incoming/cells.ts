import type { z } from "zod";
import type { RowFault } from "../../application/imports/import-report.ts";
import { faultsOf } from "../field-faults.ts";

/** A number as cells write it: digits with a decimal point; anything else stays a text, and is refused as such. */
export function numberIn(cell: string | undefined): number | string | undefined {
  return cell !== undefined && /^-?\d+(?:\.\d+)?$/.test(cell) ? Number(cell) : cell;
}

export function booleanIn(cell: string | undefined): boolean | string | undefined {
  return cell === "true" || cell === "false" ? cell === "true" : cell;
}

/** "12.50 EUR" as an amount and its currency. */
export function moneyIn(cell: string | undefined) {
  if (cell === undefined) return undefined;
  const [amount = "", currency = "", ...more] = cell.split(" ");
  return more.length > 0 ? { amount: cell, currency } : { amount, currency };
}

/** Names of things that stand in one cell. */
export function listIn(cell: string | undefined): string[] {
  return (cell ?? "").split(/;\s+|;$/).filter((name) => name !== "");
}

/** A row against the schema of the body that would be posted alone; faults by column. */
export function checked<S extends z.ZodType>(
  schema: S,
  body: Record<string, unknown>,
  columnOf: (steps: readonly (string | number)[]) => string = ([field]) => String(field),
): { value: z.output<S> } | { faults: RowFault[] } {
  const result = schema.safeParse(body);
  if (result.success) return { value: result.data };
  const faults = faultsOf(result.error, schema, body);
  return { faults: faults.map(({ steps, detail }) => ({ column: columnOf(steps), detail })) };
}
