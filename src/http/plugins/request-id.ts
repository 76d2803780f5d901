import { randomUUID } from "node:crypto";
import type { IncomingMessage } from "node:http";

/** Ids that can stand in a log line and, as they are, as a URI reference in a problem. */
const SANE = /^[A-Za-z0-9._~-]{1,128}$/;

/** The caller's own `X-Request-Id` where it is sane, else a new one. */
export function requestIdOf(request: IncomingMessage): string {
  const given = request.headers["x-request-id"];
  return typeof given === "string" && SANE.test(given) ? given : randomUUID();
}

/**
 * The trace that a request belongs to, of a `traceparent` header (W3C Trace Context, level 1,
 * section 3.2); a header that is not sound is as good as none.
 */
export function traceOf(header: unknown): { traceId: string; parentId: string } | null {
  if (typeof header !== "string") return null;
  const [, version, traceId, parentId, rest] =
    /^([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-[0-9a-f]{2}(-.*)?$/.exec(header) ?? [];
  if (traceId === undefined || parentId === undefined || version === "ff") return null;
  if (version === "00" && rest !== undefined) return null;
  return /^0+$/.test(traceId) || /^0+$/.test(parentId) ? null : { traceId, parentId };
}
