import type { Stock } from "./stock.ts";

/** One of the accounts of a run, with all that its own requests may show. */
export interface Account {
  readonly id: string;
  readonly key: string;
  /** Of the key, which must not be revoked by the run itself. */
  readonly keyId: string;
  /** Stands in every text that is sent for this account, and in no other. */
  readonly marker: string;
  readonly stock: Stock;
  /** As it was last read. */
  name: string;
  /** The sandbox's clock, in milliseconds since 1970. */
  now: number;
  /** While the clock is being moved. */
  moving: boolean;
}
