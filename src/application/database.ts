import type { Exports } from "./exports/ports.ts";
import type { Imports } from "./imports/ports.ts";
import type {
  ReadingTransaction,
  Repeatable,
  Replay,
  SendingTransaction,
  Transaction,
} from "./ports.ts";

/** The ways into an account's rows. */
export interface Database {
  imports: Imports;
  exports: Exports;
  /** Opens one transaction that sees this account alone. A thrown error undoes all of it. */
  asAccount<T>(accountId: string, work: (tx: Transaction) => Promise<T>): Promise<T>;
  /**
   * The same, with the answer kept under the request's key in that transaction: a repeat gets the
   * kept answer and `work` does not run again; one that is still running is waited for.
   * @throws Refusal idempotencyMismatch, idempotencyRunning
   */
  once<A>(
    accountId: string,
    request: Repeatable<A> | null,
    work: (tx: Transaction) => Promise<A>,
  ): Promise<A | Replay>;
  /** The same for the operator, whose requests are kept apart from the account that they make. */
  onceForOperator<A>(
    accountId: string,
    request: Repeatable<A> | null,
    work: (tx: Transaction) => Promise<A>,
  ): Promise<A | Replay>;
  /** One transaction of an account on the shortest way to the database, for what every message needs. */
  forSending<T>(accountId: string, work: (tx: SendingTransaction) => Promise<T>): Promise<T>;
  /**
   * The same on the shortest way to the database, for the one request that arrives all the time: the
   * machine is locked and read along with the request's key, before `work` runs.
   */
  onceForReading<A>(
    of: { accountId: string; vehicleId: string },
    request: Repeatable<A> | null,
    work: (tx: ReadingTransaction) => Promise<A>,
  ): Promise<A | Replay>;
}
