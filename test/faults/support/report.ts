import { appendFileSync } from "node:fs";
import { inject } from "vitest";

/** What one fault did, as counted by the mail server and the rows. */
export interface FaultRow {
  readonly fault: string;
  readonly backend: string;
  /** How often the fault was brought about. */
  readonly tries: number;
  /** Reminders that were due. */
  readonly due: number;
  /** Messages that the mail server took, each counted once. */
  readonly sent: number;
  /** Due, and neither taken by the mail server nor failed with a reason. */
  readonly lost: number;
  /** Takings by the mail server beyond the first of each message. */
  readonly repeated: number;
  readonly note: string;
}

/** Adds a row to the table that the end of the run prints. */
export function report(row: FaultRow): void {
  appendFileSync(inject("faultReport"), `${JSON.stringify(row)}\n`);
}
