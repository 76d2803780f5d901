import { createHmac, randomBytes, timingSafeEqual } from "node:crypto";
import type { Instant } from "../domain/calendar/plain-date.ts";

export type LinkPurpose = "postReading" | "logWork" | "defer" | "unsubscribe" | "confirmAddress";

/** What a mailed link allows: one purpose, one member, one machine, until it expires. */
export interface LinkClaims {
  purpose: LinkPurpose;
  accountId: string;
  memberId: string;
  vehicleId?: string;
  taskId?: string;
  reminderId?: string;
  /** The very address that is to be confirmed: another one asks anew. */
  email?: string;
  expiresAt: Instant;
}

export type OpenedLink =
  | { state: "open"; claims: LinkClaims }
  | { state: "expired"; claims: LinkClaims }
  | { state: "forged" };

const DAY = 86_400_000;
/** Leaving must work as long as the mail is kept; the rest is of use around the due date only. */
const VALID_DAYS: Record<LinkPurpose, number> = {
  postReading: 120,
  logWork: 120,
  defer: 120,
  unsubscribe: 3650,
  confirmAddress: 14,
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
    const text = Buffer.from(JSON.stringify({ ...claims, expiresAt })).toString("base64url");
    return `${this.#baseUrl}/links/${text}.${this.#mac(`link:${text}`)}`;
  }

  /** Whether the token is ours; whether it has expired is for the account's time, see `asOf`. */
  read(token: string): LinkClaims | null {
    const [text = "", mac = "", ...rest] = token.split(".");
    if (rest.length > 0 || !this.#matches(`link:${text}`, mac)) return null;
    return JSON.parse(Buffer.from(text, "base64url").toString("utf8")) as LinkClaims;
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
    return createHmac("sha256", this.#secret).update(text).digest("base64url");
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
