import { createHmac, timingSafeEqual } from "node:crypto";
import { UUID } from "uuidv7";
import type { Instant } from "../domain/calendar/plain-date.ts";

/** Which account was deleted, and when. */
export interface DeletionClaims {
  accountId: string;
  deletedAt: Instant;
}

const ID_BYTES = 16;
const CLAIMS_BYTES = ID_BYTES + 8;
const MAC_BYTES = 16;

/**
 * Makes and reads the tokens that prove a deletion: the claims and an HMAC-SHA-256 over them. Whoever
 * holds one may look again at what is left of the account, which has no key any more.
 */
export class DeletionProofs {
  readonly #secret: string;

  constructor(secret: string) {
    this.#secret = secret;
  }

  token({ accountId, deletedAt }: DeletionClaims): string {
    const claims = Buffer.alloc(CLAIMS_BYTES);
    claims.set(UUID.parse(accountId).bytes);
    claims.writeBigInt64BE(BigInt(deletedAt), ID_BYTES);
    return Buffer.concat([claims, this.#mac(claims)]).toString("base64url");
  }

  /** What a token of ours claims; null for any other text. */
  read(token: string): DeletionClaims | null {
    const bytes = Buffer.from(token, "base64url");
    if (bytes.length !== CLAIMS_BYTES + MAC_BYTES || bytes.toString("base64url") !== token) {
      return null;
    }
    const claims = bytes.subarray(0, CLAIMS_BYTES);
    if (!timingSafeEqual(this.#mac(claims), bytes.subarray(CLAIMS_BYTES))) return null;
    return {
      accountId: UUID.ofInner(claims.subarray(0, ID_BYTES)).toString(),
      deletedAt: Number(claims.readBigInt64BE(ID_BYTES)),
    };
  }

  /** The text before the claims keeps them apart from all else that the secret signs. */
  #mac(claims: Buffer): Buffer {
    const whole = createHmac("sha256", this.#secret).update("deletion:").update(claims).digest();
    return whole.subarray(0, MAC_BYTES);
  }
}
