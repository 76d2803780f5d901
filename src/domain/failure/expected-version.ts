import { Refusal } from "./failure.ts";

/** The versions of a stored row for which a change is meant; `any` is whichever there is. */
export type ExpectedVersion = "any" | readonly number[];

function isExpected(expected: ExpectedVersion, version: number): boolean {
  return expected === "any" || expected.includes(version);
}

/**
 * Holds a change back when the row has moved on since the caller read it.
 * @throws Refusal preconditionFailed
 */
export function requireVersion(expected: ExpectedVersion, version: number, resource: string): void {
  if (!isExpected(expected, version)) {
    throw new Refusal({ kind: "preconditionFailed", resource });
  }
}
