import type { FieldFault } from "../../application/page-views.ts";

const MOST = 10_000_000;

/**
 * Thousands to some, decimals to others. No meter shows thousandths, so that whoever types this is
 * asked to write it without: a reading taken for a thousandth of itself would be worse.
 */
const THOUSANDS_OR_DECIMALS = /^\s*[1-9]\d{0,2}[.,]\d{3}\s*$/;

/** A number as people type it: with a comma or a point for the decimals, and spaces between. */
export function parseTyped(text: string): number | null {
  const plain = text.replaceAll(/[\s\u00a0\u202f'’]/g, "").replace(",", ".");
  return /^-?\d{1,9}(\.\d{1,6})?$/.test(plain) ? Number(plain) : null;
}

/** The field as a number of at least 0; what is wrong with it is added to the faults. */
export function numberOf(
  fields: Record<string, string>,
  field: string,
  faults: FieldFault[],
  required = true,
): number | null {
  const text = fields[field] ?? "";
  if (text === "") {
    if (required) faults.push({ field, code: "required" });
    return null;
  }
  const value = THOUSANDS_OR_DECIMALS.test(text) ? null : parseTyped(text);
  if (value === null) faults.push({ field, code: "notNumber" });
  else if (value < 0) faults.push({ field, code: "negative" });
  else if (value > MOST) faults.push({ field, code: "tooLarge" });
  else return value;
  return null;
}
