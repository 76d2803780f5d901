import { createHash, timingSafeEqual } from "node:crypto";
import { Refusal } from "../../domain/failure/failure.ts";
import { parseApiKey, secretMatches } from "../api-key.ts";
import { type Caller, holdsScope } from "../caller.ts";
import type { HttpOptions } from "../options.ts";
import type { Access } from "../route.ts";
import { WireRefusal } from "../wire-failure.ts";

/**
 * Who calls, if that one may: null for the operator and where anybody may.
 * @throws WireRefusal unauthenticated
 * @throws Refusal forbidden
 */
export async function authenticate(
  authorization: string | undefined,
  access: Access,
  options: HttpOptions,
): Promise<Caller | null> {
  if ("open" in access) return null;
  const token = bearerToken(authorization);
  if ("operator" in access) {
    requireOperator(token, options.operatorToken);
    return null;
  }
  const caller = await callerOf(token, options);
  if (!holdsScope(caller, access.scope)) {
    throw new Refusal({ kind: "forbidden", need: `the scope ${access.scope}` });
  }
  return caller;
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

function requireOperator(token: string, operatorToken: string | null): void {
  if (operatorToken === null || !equalInConstantTime(token, operatorToken)) {
    throw unauthenticated("This takes the operator's token, and the one sent is not it.", true);
  }
}

async function callerOf(token: string, options: HttpOptions): Promise<Caller> {
  const key = parseApiKey(token);
  if (key === null) {
    throw unauthenticated("The key is mistyped or cut off: its checksum does not fit.", true);
  }
  const record = await options.ports.findKey(key.publicId);
  if (record === null || !secretMatches(key.secret, record.secretHash)) {
    throw unauthenticated("The key is unknown or has been revoked.", true);
  }
  const now = options.now();
  if (record.expiresAt !== null && record.expiresAt <= now) {
    throw unauthenticated("The key has expired.", true);
  }
  options.ports.keyUsed?.(record, now);
  const { secretHash: _secretHash, expiresAt: _expiresAt, ...caller } = record;
  return caller;
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
