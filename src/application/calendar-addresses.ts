import { createHmac, timingSafeEqual } from "node:crypto";
import { UUID } from "uuidv7";

/** What an address of a calendar says: whose, which, and how often the address was changed. */
export interface CalendarClaims {
  accountId: string;
  feedId: string;
  secretNumber: number;
}

const ID_BYTES = 16;
const CLAIMS_BYTES = 2 * ID_BYTES + 4;
/** 128 bits: addresses are tried over the network, at the pace of the rate limit. */
const MAC_BYTES = 16;

/**
 * Makes and reads the addresses at which calendar programs find a feed. An address is its claims and
 * an HMAC-SHA-256 over them, so that no secret is stored; it works until its number is passed.
 */
export class CalendarAddresses {
  readonly #secret: string;
  readonly #baseUrl: string;

  constructor(secret: string, baseUrl: string) {
    this.#secret = secret;
    this.#baseUrl = baseUrl;
  }

  url({ accountId, feedId, secretNumber }: CalendarClaims): string {
    const number = Buffer.alloc(CLAIMS_BYTES - 2 * ID_BYTES);
    number.writeUInt32BE(secretNumber);
    const claims = Buffer.concat([UUID.parse(accountId).bytes, UUID.parse(feedId).bytes, number]);
    const token = Buffer.concat([claims, this.#mac(claims)]).toString("base64url");
    return `${this.#baseUrl}/calendars/${token}.ics`;
  }

  /** What a token of ours claims; null for any other text. Whether it is in force, the row tells. */
  read(token: string): CalendarClaims | null {
    const bytes = Buffer.from(token, "base64url");
    if (bytes.length !== CLAIMS_BYTES + MAC_BYTES || bytes.toString("base64url") !== token) {
      return null;
    }
    const claims = bytes.subarray(0, CLAIMS_BYTES);
    if (!timingSafeEqual(this.#mac(claims), bytes.subarray(CLAIMS_BYTES))) return null;
    return {
      accountId: UUID.ofInner(claims.subarray(0, ID_BYTES)).toString(),
      feedId: UUID.ofInner(claims.subarray(ID_BYTES, 2 * ID_BYTES)).toString(),
      secretNumber: claims.readUInt32BE(2 * ID_BYTES),
    };
  }

  /** The text before the claims keeps them apart from all else that the secret signs. */
  #mac(claims: Buffer): Buffer {
    const whole = createHmac("sha256", this.#secret).update("calendar:").update(claims).digest();
    return whole.subarray(0, MAC_BYTES);
  }
}
