import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { DistanceUnit } from "../../domain/units/distance.ts";
import type { AccountResource } from "../exports/account-resources.ts";
import type { MachineStore, New, Repeatable, Replay, Transaction } from "../ports.ts";
import type { Import, ImportRow, MeterName, Reading, ReadingSource, Vehicle } from "../records.ts";
import type { RowFault } from "./import-report.ts";

/** What a file's reader made of one row: its value, or what is wrong with it. */
export type ReadRow<T> = { line: number; value: T } | { line: number; faults: readonly RowFault[] };

/** A file as it comes, some rows at a time. */
export interface RowSource<T> extends AsyncIterable<readonly ReadRow<T>[]> {
  /** SHA-256 of all its bytes, in hexadecimal; known once it was read to its end. */
  digest(): string;
}

/** How a row names its machine: by one of the two, or by both. */
export interface NamedVehicle {
  vehicleId: string | undefined;
  vehicleExternalId: string | undefined;
}

export type VehicleFacts = Pick<
  Vehicle,
  "id" | "externalId" | "meterUnit" | "hoursMeter" | "responsibleMemberId"
>;

/** What holds for every import, whatever its rows are. */
export interface ImportLedger {
  readonly accountId: string;
  /** A sandbox's own time; null where real time counts. */
  clock(): Promise<Instant | null>;
  /**
   * Takes one of the account's places for imports until the transaction ends; another process' imports
   * count as well.
   * @throws Refusal tooManyRequests
   */
  takePlace(): Promise<void>;
  /** The import that was applied under this externalId. */
  applied(externalId: string): Promise<Import | null>;
  keep(row: New<Import>, rows: readonly ImportRow[]): Promise<Import>;
  vehiclesNamed(ids: readonly string[], externalIds: readonly string[]): Promise<VehicleFacts[]>;
  /** As `Database.once`, for a request whose fingerprint is known only when its body has been read. */
  once<A>(request: Repeatable<A> | null, work: () => Promise<A>): Promise<A | Replay>;
}

/** A reading of the file on its way to be judged. */
export interface StagedReading {
  line: number;
  vehicleId: string;
  meter: MeterName;
  at: Instant;
  value: number;
  unit: DistanceUnit | "h";
  source: ReadingSource;
  note: string | null;
  externalId: string | null;
  /** Whether instant and unit stood in the file, or were filled in. */
  given: { at: boolean; unit: boolean };
}

/** A row whose externalId stands already, in the account or further up in the file. */
export interface SettledRow {
  line: number;
  /** The reading of the account that it repeats; null for one of the file. */
  readingId: string | null;
  /** The first field that differs; null where it is the same again. */
  differs: string | null;
}

/** As much of a known reading as judging another needs. */
export type KnownBefore = Pick<
  Reading,
  "id" | "vehicleId" | "meter" | "at" | "value" | "unit" | "total" | "status" | "confirmed"
>;

/** A transaction that takes in readings by the hundred thousand: rows are set down, put in order, read again. */
export interface ReadingsImport extends ImportLedger {
  machine: MachineStore;
  stage(rows: readonly StagedReading[]): Promise<void>;
  /** Takes out the rows whose externalId stands already and tells of them, some at a time. */
  settleExternalIds(): AsyncIterable<SettledRow[]>;
  /** Locks the machines of the file, in the order of their ids, until the transaction ends. */
  lockStaged(): Promise<void>;
  /** The rows by machine, meter, instant and line; the next ones are on their way while these are worked on. */
  staged(): AsyncGenerator<StagedReading[]>;
  /** In the same order the readings that are known, from so many before the file's first on. */
  known(before: number): AsyncIterable<KnownBefore[]>;
  insert(readings: readonly New<Reading>[]): Promise<void>;
}

/** A row on its way to the verb of its kind. */
export interface StagedRow<T> {
  line: number;
  vehicleId: string | null;
  /** What rows of one machine are worked on in the order of. */
  at: Instant;
  value: T;
}

/** A transaction that takes in rows one by one, each by the verb of its kind. */
export interface RowsImport extends ImportLedger {
  tx: Transaction;
  stage(rows: readonly StagedRow<unknown>[]): Promise<void>;
  /** Locks the machines of the file, in the order of their ids, until the transaction ends. */
  lockStaged(): Promise<void>;
  /** By machine, instant and line. */
  staged(): AsyncIterable<StagedRow<unknown>[]>;
  /**
   * Undoes what `work` did where it refuses, and throws its refusal; what was taken meanwhile is told
   * as a conflict.
   */
  attempt<T>(work: () => Promise<T>): Promise<T>;
  /** Does all of it, or undoes it where the answer is false. */
  allOrNothing(work: () => Promise<boolean>): Promise<void>;
}

/** A line of an account's file. */
export interface AccountRow {
  resource: AccountResource;
  row: Record<string, unknown>;
}

/** A fault of a line of an account's file. */
export interface LineFault extends RowFault {
  line: number;
}

/** A transaction that takes in a whole account. */
export interface AccountImport extends ImportLedger {
  /** Whether there is nothing but the owner and keys; the account stays locked. */
  isEmpty(): Promise<boolean>;
  stage(rows: readonly (AccountRow & { line: number })[]): Promise<void>;
  /** Has the owner that is there step back for the one of the file, or says why there is none. */
  makeRoomForOwner(): Promise<LineFault | null>;
  /** All staged rows of the resource: how many, or the first that cannot be stored. */
  insert(resource: AccountResource): Promise<number | LineFault>;
  /** Keys follow the owner; followers are told nothing of what they were told already. */
  settle(): Promise<void>;
  /** Does all of it, or undoes it where the answer is false. */
  allOrNothing(work: () => Promise<boolean>): Promise<void>;
}

/** Transactions that may last for minutes, on connections of their own. */
export interface Imports {
  ofReadings<T>(accountId: string, work: (tx: ReadingsImport) => Promise<T>): Promise<T>;
  ofAccount<T>(accountId: string, work: (tx: AccountImport) => Promise<T>): Promise<T>;
  ofRows<T>(accountId: string, work: (tx: RowsImport) => Promise<T>): Promise<T>;
}
