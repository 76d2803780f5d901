import type { FieldFault } from "../domain/failure/failure.ts";
import { pointer } from "../domain/failure/pointer.ts";

const MAX_DEPTH = 32;
const MAX_FAULTS = 20;
type Steps = readonly (string | number)[];

/** What is wrong with a text for any field whatever, or null. */
export function unsoundText(text: string): string | null {
  if (text.includes("\0")) return "must not contain the character U+0000";
  if (/\p{Surrogate}/u.test(text))
    return "must be well-formed Unicode, without half a surrogate pair";
  return null;
}

/**
 * Faults that no schema need look for, since they are wrong in any field: numbers beyond what a
 * double holds (JSON lets 1e400 through as Infinity), characters that PostgreSQL cannot store, names
 * that reach for the prototype, and nesting without end.
 */
export function unsoundParts(value: unknown): readonly FieldFault[] {
  const faults: FieldFault[] = [];
  look(value, [], faults);
  return faults;
}

function look(value: unknown, steps: Steps, faults: FieldFault[]): void {
  if (faults.length >= MAX_FAULTS) return;
  const detail = faultOf(value, steps.length);
  if (detail !== null) {
    faults.push({ pointer: pointer(...steps), detail });
    return;
  }
  if (typeof value !== "object" || value === null) return;
  if (Array.isArray(value)) {
    for (const [index, item] of value.entries()) look(item, [...steps, index], faults);
    return;
  }
  for (const [name, item] of Object.entries(value)) lookAtMember(name, item, steps, faults);
}

function lookAtMember(name: string, item: unknown, steps: Steps, faults: FieldFault[]): void {
  const unsound = name === "__proto__" ? "is a name that no field may have" : unsoundText(name);
  if (unsound === null) look(item, [...steps, name], faults);
  else faults.push({ pointer: pointer(...steps, name), detail: unsound });
}

function faultOf(value: unknown, depth: number): string | null {
  if (typeof value === "string") return unsoundText(value);
  if (typeof value === "number" && !Number.isFinite(value)) {
    return "must be a number that a 64-bit double can hold";
  }
  if (depth > MAX_DEPTH) return `must not lie deeper than ${MAX_DEPTH} levels`;
  return null;
}
