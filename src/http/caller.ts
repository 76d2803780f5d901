import type { Caller } from "../application/caller.ts";
import type { Scope } from "../application/records.ts";

export { holdsScope } from "../application/holds-scope.ts";
export type { Caller, Scope };

/** A stored key. */
export interface KeyRecord extends Caller {
  /** SHA-256 of the secret, 32 bytes. */
  readonly secretHash: Uint8Array;
  /** Milliseconds since 1970-01-01T00:00:00Z; null for a key that does not expire. */
  readonly expiresAt: number | null;
  /** Whether its account lets pages of the origin that asked call. */
  readonly originAllowed: boolean;
}
