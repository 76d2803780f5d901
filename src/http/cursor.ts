import { createHmac, timingSafeEqual } from "node:crypto";
import { Refusal } from "../domain/failure/failure.ts";
import { canonicalJson } from "./json.ts";

/** Where a page ended: the sort key (an instant, as a rule) and the id of its last item. */
export interface Keyset {
  readonly key: number | string;
  readonly id: string;
}

/** What a cursor holds good for: a list, whose it is, and its filters. */
export interface CursorScope {
  readonly operationId: string;
  readonly accountId: string;
  readonly filters: Readonly<Record<string, unknown>>;
}

const SIGNATURE_BYTES = 16;

/** The cursor that continues after the row; opaque to callers and signed for its scope. */
export function sealCursor(secret: string, scope: CursorScope, last: Keyset): string {
  const body = Buffer.from(JSON.stringify([last.key, last.id]));
  return Buffer.concat([sign(secret, scope, body), body]).toString("base64url");
}

/**
 * Where to continue.
 * @throws Refusal invalid when the cursor was made up, changed, or belongs to another list
 */
export function openCursor(secret: string, scope: CursorScope, cursor: string): Keyset {
  const bytes = Buffer.from(cursor, "base64url");
  const signature = bytes.subarray(0, SIGNATURE_BYTES);
  const body = bytes.subarray(SIGNATURE_BYTES);
  const expected = sign(secret, scope, body);
  if (signature.length !== expected.length || !timingSafeEqual(signature, expected)) {
    throw new Refusal({
      kind: "invalid",
      errors: [
        {
          parameter: "cursor",
          detail: "must be the nextCursor of a page of this list, asked for with the same filters",
        },
      ],
    });
  }
  const [key, id] = JSON.parse(body.toString()) as [number | string, string];
  return { key, id };
}

function sign(secret: string, scope: CursorScope, body: Buffer): Buffer {
  return createHmac("sha256", secret)
    .update(canonicalJson(["cursor", scope.operationId, scope.accountId, scope.filters]))
    .update(body)
    .digest()
    .subarray(0, SIGNATURE_BYTES);
}
