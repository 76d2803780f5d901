import { createHmac, randomBytes, timingSafeEqual } from "node:crypto";
import type { Instant } from "../domain/calendar/plain-date.ts";
import { type LinkClaims, type LinkPurpose, packClaims, unpackClaims } from "./pack-claims.ts";

export type OpenedLink =
  | { state: "open"; claims: LinkClaims }
  | { state: "expired"; claims: LinkClaims }
  | { state: "forged" };

const DAY = 86_400_000;
/** 128 bits: links are tried over the network, at the pace of the rate limit. */
const MAC_BYTES = 16;
/** Leaving must work as long as the mail is kept; the rest is of use around the due date only. */
const VALID_DAYS: Record<LinkPurpose, number> = {
  postReading: 120,
  logWork: 120,
  defer: 120,
  unsubscribe: 3650,
  confirmAddress: 14,
  layUp: 120,
};

/** Makes and opens the links in emails. A link is its claims and an HMAC-SHA-256 over them. */
export class Links {
  readonly #secret: string;
  readonly #baseUrl: string;

  constructor(secret: string, baseUrl: string) {
    this.#secret = secret;
    this.#baseUrl = baseUrl;
  }

  url(claims: Omit<LinkClaims, "expiresAt">, now: Instant): string {
    const expiresAt = now + VALID_DAYS[claims.purpose] * DAY;
    const text = packClaims({ ...claims, expiresAt }).toString("base64url");
    return `${this.#baseUrl}/links/${text}.${this.#mac(`link:${text}`)}`;
  }

  /** The whole address of a link that somebody holds already. */
  address(token: string): string {
    return `${this.#baseUrl}/links/${token}`;
  }

  /** Whether the token is ours; whether it has expired is for the account's time, see `asOf`. */
  read(token: string): LinkClaims | null {
    const [text = "", mac = "", ...rest] = token.split(".");
    if (rest.length > 0 || !this.#matches(`link:${text}`, mac)) return null;
    return unpackClaims(Buffer.from(text, "base64url"));
  }

  /** A value that a form carries so that one submission counts once; made for one link. */
  nonce(token: string): string {
    const random = randomBytes(12).toString("base64url");
    return `${random}.${this.#mac(`nonce:${token}:${random}`)}`;
  }

  isNonceOf(token: string, nonce: string): boolean {
    const [random = "", mac = "", ...rest] = nonce.split(".");
    return rest.length === 0 && this.#matches(`nonce:${token}:${random}`, mac);
  }

  #mac(text: string): string {
    const whole = createHmac("sha256", this.#secret).update(text).digest();
    return whole.subarray(0, MAC_BYTES).toString("base64url");
  }

  #matches(text: string, mac: string): boolean {
    const [expected, given] = [Buffer.from(this.#mac(text)), Buffer.from(mac)];
    return expected.length === given.length && timingSafeEqual(expected, given);
  }
}

/** Expiry goes by the account's time, so that a sandbox's links live in the sandbox's year. */
export function openedAt(claims: LinkClaims | null, now: Instant): OpenedLink {
  if (!claims) return { state: "forged" };
  return { state: claims.expiresAt > now ? "open" : "expired", claims };
}
