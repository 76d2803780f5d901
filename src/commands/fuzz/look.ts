import type { AnswerCheck } from "../document/check-answer.ts";
import { escapePointer, essenceOf, isJson } from "../document/open-document.ts";
import type { SchemaCheck } from "../document/schemas.ts";
import type { Account } from "./account.ts";
import type { FuzzRequest } from "./fuzz-request.ts";
import type { Came } from "./send.ts";

const UUID = /[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g;

export interface Looking {
  readonly check: AnswerCheck;
  readonly schemas: SchemaCheck;
  /** The account that is not asking, where there are two. */
  readonly other: Account | undefined;
}

/** All that an answer should not be. */
export function faultsIn(request: FuzzRequest, came: Came, looking: Looking): string[] {
  const { method, url } = request;
  const text = came.body.toString("utf8");
  const { breaches } = looking.check({ ...came, method, url });
  return [
    ...(came.status >= 500 ? [`answers ${came.status}`] : []),
    ...breaches.map((breach) => `not in the document: ${breach}`),
    ...leaksIn(request, came, text, looking.other),
    ...looseness(request, came, looking.schemas),
  ];
}

/** Text and ids of the other account must never come back, but for an id in a refusal of it. */
function leaksIn(
  request: FuzzRequest,
  came: Came,
  text: string,
  other: Account | undefined,
): string[] {
  if (other === undefined) return [];
  if (text.includes(other.marker)) return ["shows another account's text"];
  const asked = `${request.url} ${request.body?.toString("latin1") ?? ""}`.toLowerCase();
  const leaked = (text.match(UUID) ?? []).filter((id) => other.stock.ids.has(id));
  const told = leaked.find((id) => !asked.includes(id));
  if (told !== undefined) return [`shows another account's id ${told}`];
  const taken = came.status < 300 && !isEchoed(request) ? leaked[0] : undefined;
  return taken === undefined ? [] : [`takes another account's id ${taken}`];
}

/** A batch is answered item by item, each with the id that it was about, refused or not. */
function isEchoed({ operation }: FuzzRequest): boolean {
  return operation.operationId === "postReadings";
}

/** What the document's schema refuses must not be taken. */
function looseness(request: FuzzRequest, came: Came, schemas: SchemaCheck): string[] {
  const { operation, headers, body, method } = request;
  if (came.status >= 300 || body === null || method !== operation.method) return [];
  const type = essenceOf(headers["content-type"] ?? "");
  const content = operation.requestBody?.content[type];
  if (content === undefined || body.length === 0) {
    return operation.requestBody === undefined || body.length === 0 ? [] : [`takes ${type}`];
  }
  if (!isJson(type)) return [];
  const pointer = `${operation.pointer}/requestBody/content/${escapePointer(type)}/schema`;
  try {
    return schemas(pointer, JSON.parse(body.toString("utf8").replace(/^\ufeff/, "")))
      .slice(0, 1)
      .map((fault) => `takes what the document refuses: ${fault}`);
  } catch {
    return ["takes what is not JSON"];
  }
}
