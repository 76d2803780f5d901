import { essenceOf, isJson } from "../document/open-document.ts";
import type { FuzzRequest, Intent } from "./fuzz-request.ts";
import type { Draft } from "./valid-request.ts";

/** Writes a draft down as it goes over the wire. */
export function writeRequest(draft: Draft, intent: Intent, twist: string): FuzzRequest {
  const { operation, account, place, headers } = draft;
  const path = operation.path.replaceAll(/\{(\w+)\}/g, (_, name: string) =>
    encodeURIComponent(place[name] ?? "-"),
  );
  const query = draft.query
    .map(([name, value]) => `${encodeURIComponent(name)}=${encodeURIComponent(value)}`)
    .join("&");
  return {
    ...{ operation, intent, twist, account, place, headers },
    method: operation.method,
    url: query === "" ? path : `${path}?${query}`,
    body: draft.body === undefined ? null : Buffer.from(bodyOf(draft)),
  };
}

/** What is no JSON is a text of its own. */
function bodyOf({ body, headers }: Draft): string {
  const isText = typeof body === "string" && !isJson(essenceOf(headers["content-type"] ?? ""));
  return isText ? body : textOf(body);
}

/** A text that is sent as it is, valid as JSON or not. */
export class RawText {
  readonly text: string;
  constructor(text: string) {
    this.text = text;
  }
}

/** JSON, in which raw texts stand as they are. */
export function textOf(value: unknown): string {
  if (value instanceof RawText) return value.text;
  if (Array.isArray(value)) return `[${value.map(textOf).join(",")}]`;
  if (typeof value !== "object" || value === null) return JSON.stringify(value) ?? "null";
  const members = Object.entries(value).map(
    ([name, part]) => `${JSON.stringify(name)}:${textOf(part)}`,
  );
  return `{${members.join(",")}}`;
}
