import type { Operation } from "../document/open-document.ts";
import type { Account } from "./account.ts";
import type { Place } from "./stock.ts";

/** How a request is meant: `rotten` is what nobody means well with. */
export type Intent = "valid" | "nearly" | "rotten";

export interface FuzzRequest {
  readonly operation: Operation;
  readonly intent: Intent;
  /** What was done to it, in a few words. */
  readonly twist: string;
  readonly account: Account;
  /** Whom the path is about. */
  readonly place: Place;
  readonly method: string;
  /** Path and query. */
  readonly url: string;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: Buffer | null;
}
