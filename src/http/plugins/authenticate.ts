import { createHash, timingSafeEqual } from "node:crypto";
import { Refusal } from "../../domain/failure/failure.ts";
import { hashesEqual, hashSecret, parseApiKey } from "../api-key.ts";
import { type Caller, holdsScope, type Scope } from "../caller.ts";
import type { HttpOptions } from "../options.ts";
import type { RateHeaders } from "../rate-headers.ts";
import { WireRefusal } from "../wire-failure.ts";
import type { RateLimits } from "./rate-limit.ts";

/** What of a request tells who calls. */
export interface Presented {
  readonly authorization: string | undefined;
  readonly address: string;
  readonly origin: string | null;
}

/** Who calls, counted. */
export interface Admitted {
  readonly caller: Caller;
  readonly rate: RateHeaders;
  /** Whether the key's account lets pages of the origin that asked call. */
  readonly originAllowed: boolean;
}

/**
 * The key that calls, its request counted.
 * @throws WireRefusal unauthenticated
 * @throws Refusal tooManyRequests
 */
export async function authenticate(
  presented: Presented,
  limits: RateLimits,
  options: HttpOptions,
): Promise<Admitted> {
  const key = parseApiKey(bearerToken(presented.authorization));
  if (key === null) {
    throw unauthenticated("This is no API key, or it is mistyped or cut off.", true);
  }
  const { address, origin } = presented;
  if (limits.withKey === null) await limits.check("refusedKeys", address);
  const secretHash = hashSecret(key.secret);
  const asked = { publicId: key.publicId, secretHash, address, origin, quotas: limits.withKey };
  const { record, counted, refused } = await options.ports.findKey(asked);
  if (refused !== null) limits.judge("refusedKeys", { ...refused, used: refused.used + 1 });
  if (record === null || !hashesEqual(secretHash, record.secretHash)) {
    throw unauthenticated("The key is unknown or has been revoked.", true);
  }
  const now = options.now();
  if (record.expiresAt !== null && record.expiresAt <= now) {
    throw unauthenticated("The key has expired.", true);
  }
  const { secretHash: _secretHash, expiresAt: _expiresAt, originAllowed, ...caller } = record;
  const rate =
    counted === null ? await limits.count("key", caller.keyId) : limits.judge("key", counted);
  options.ports.keyUsed?.(record, now);
  return { caller, rate, originAllowed };
}

/** @throws Refusal forbidden */
export function requireScope(caller: Caller, scope: Scope): void {
  if (!holdsScope(caller, scope)) {
    throw new Refusal({ kind: "forbidden", need: `the scope ${scope}` });
  }
}

/** @throws WireRefusal unauthenticated */
export function requireOperator(
  authorization: string | undefined,
  { operatorToken }: Pick<HttpOptions, "operatorToken">,
): void {
  const token = bearerToken(authorization);
  if (operatorToken === null || !equalInConstantTime(token, operatorToken)) {
    throw unauthenticated("This takes the operator's token, and the one sent is not it.", true);
  }
}

/** The token of a Bearer `Authorization` (RFC 6750, section 2.1). */
function bearerToken(authorization: string | undefined): string {
  if (authorization === undefined) {
    throw unauthenticated("Send the API key as Authorization: Bearer.", false);
  }
  const [, token] = /^Bearer +([A-Za-z0-9._~+/=-]{1,512}) *$/i.exec(authorization) ?? [];
  if (token === undefined) {
    throw unauthenticated("Authorization must be the word Bearer, a space and the key.", false);
  }
  return token;
}

/** Compares digests, so that not even the length of the token shows in the time taken. */
function equalInConstantTime(one: string, other: string): boolean {
  return timingSafeEqual(digest(one), digest(other));
}

function digest(text: string): Buffer {
  return createHash("sha256").update(text).digest();
}

function unauthenticated(detail: string, token: boolean): WireRefusal {
  return new WireRefusal({ kind: "unauthenticated", detail, token });
}
