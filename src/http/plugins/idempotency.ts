import { createHash } from "node:crypto";
import type { Repeatable } from "../../application/ports.ts";
import type { Caller } from "../caller.ts";
import { canonicalJson } from "../json.ts";
import { refuseHeader } from "../wire-failure.ts";

/** What of an answer is kept for a repeat. */
export interface SealableAnswer {
  readonly status: number;
  readonly body?: unknown;
  readonly version?: number;
  readonly tag?: string;
  readonly location?: string;
  readonly headers?: Readonly<Record<string, string>>;
}

/** The caller's key, handed to the transaction that does the work and keeps its answer. */
export type IdempotencyHandle = Repeatable<SealableAnswer>;

/**
 * The key of an `Idempotency-Key` field, which is a quoted string (as in the IETF draft of 2025) or
 * the bare characters: both name the same key.
 * @throws WireRefusal badHeader
 */
export function readIdempotencyKey(field: string): string {
  const quoted = /^"((?:[\x20-\x21\x23-\x5b\x5d-\x7e]|\\["\\])*)"$/.exec(field)?.[1];
  const key = quoted === undefined ? field : quoted.replaceAll(/\\(["\\])/g, "$1");
  if (!/^[\x21-\x7e]{1,255}$/.test(key)) {
    throw refuseHeader(
      "Idempotency-Key",
      'must be 1 to 255 visible ASCII characters, bare or in double quotes: "8e03978e-40d5"',
    );
  }
  return key;
}

/** The same for a body that was read as it came: its digest takes its place. */
export function withDigest(handle: IdempotencyHandle, digest: string): IdempotencyHandle {
  const whole = createHash("sha256").update(`${handle.fingerprint} ${digest}`).digest("hex");
  return { ...handle, fingerprint: whole };
}

/** What makes two requests the same: address, body, and what the caller can see. */
export function fingerprint(url: string, body: unknown, caller: Caller | null): string {
  const bounds = [caller?.memberId ?? null, caller?.vehicleIds?.toSorted() ?? null];
  return createHash("sha256")
    .update(canonicalJson([url, body ?? null, bounds]))
    .digest("hex");
}
