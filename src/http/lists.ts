import type { PageOf, PageRequest } from "../application/ports.ts";
import { type CursorScope, openCursor, sealCursor } from "./cursor.ts";
import { linkTo } from "./link.ts";

/** The parts of a call that a list needs. */
export interface ListCall {
  readonly query: { readonly limit: number; readonly cursor?: string | undefined };
  readonly operationId: string;
  readonly caller: { readonly accountId: string };
  /** Path and query as they were asked for. */
  readonly url: string;
  readonly cursorSecret: string;
}

/** @throws Refusal invalid when the cursor does not belong to this list with these filters */
export function pageAsked(call: ListCall): PageRequest {
  const { limit, cursor } = call.query;
  return {
    limit,
    after: cursor === undefined ? null : openCursor(call.cursorSecret, scopeOf(call), cursor),
  };
}

/** The answer of a list: the page, and the way to the next one. */
export function pageAnswer<R, T>(
  call: ListCall,
  { items, next }: PageOf<R>,
  show: (row: R) => T,
): { status: 200; body: { items: T[]; nextCursor: string | null }; link?: string } {
  if (next === null) return { status: 200, body: { items: items.map(show), nextCursor: null } };
  const nextCursor = sealCursor(call.cursorSecret, scopeOf(call), next);
  return {
    status: 200,
    body: { items: items.map(show), nextCursor },
    link: linkTo(withCursor(call.url, nextCursor), "next"),
  };
}

/** A page may be continued with another limit, so that only the filters bind a cursor. */
function scopeOf(call: ListCall): CursorScope {
  const { limit: _limit, cursor: _cursor, ...filters } = call.query;
  const path = call.url.split("?", 1)[0];
  return {
    operationId: call.operationId,
    accountId: call.caller.accountId,
    filters: { ...filters, path },
  };
}

function withCursor(url: string, cursor: string): string {
  const [path = "", query = ""] = url.split("?", 2);
  const parameters = new URLSearchParams(query);
  parameters.set("cursor", cursor);
  return `${path}?${parameters.toString()}`;
}
