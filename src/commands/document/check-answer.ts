import { findOperation } from "./find-operation.ts";
import {
  escapePointer,
  essenceOf,
  isJson,
  type OpenDocument,
  type Operation,
  operationsOf,
  type Response,
  resolve,
} from "./open-document.ts";
import { type SchemaCheck, schemaCheck } from "./schemas.ts";

/** An answer as it went over the wire. */
export interface SeenAnswer {
  readonly method: string;
  /** Path and query as they were asked for. */
  readonly url: string;
  readonly status: number;
  /** Names in lower case. */
  readonly headers: Readonly<Record<string, string>>;
  readonly body: Buffer;
}

export interface Verdict {
  /** The operation that the document has at this method and path, if any. */
  readonly operationId: string | null;
  /** In what the answer is not as the document says. */
  readonly breaches: readonly string[];
}

export type AnswerCheck = (answer: SeenAnswer) => Verdict;

/** What HTTP itself, the connection and a browser's safety need on any answer: of no operation's own. */
const OF_HTTP = new Set([
  ...["content-type", "content-length", "date", "connection", "keep-alive", "transfer-encoding"],
  ...["cache-control", "vary", "x-content-type-options", "referrer-policy", "x-frame-options"],
  ...["strict-transport-security", "cross-origin-opener-policy", "content-security-policy"],
  ...["cross-origin-resource-policy", "access-control-allow-origin"],
  "access-control-expose-headers",
]);
/** Refusals of HTTP itself, which may come before it is known which operation is asked for. */
const BEFORE_ANY_OPERATION = new Set([408, 417, 431]);
const PROBLEM = "application/problem+json";
const PROBLEM_SCHEMA = "/components/schemas/Problem";
/** Addresses that are no part of the API: its description, and the pages behind mailed links. */
const BESIDE_THE_API = /^\/(docs(\/|$)|openapi\.json$|links\/)/;

/** Makes the check of answers against a document. */
export function answerCheck(document: OpenDocument): AnswerCheck {
  const operations = operationsOf(document);
  const schemas = schemaCheck(document);
  return (answer) => {
    const path = answer.url.split("?", 1)[0] ?? "";
    const operation = findOperation(operations, answer.method, path);
    if (operation === undefined) {
      return { operationId: null, breaches: beside(schemas, answer, path) };
    }
    const breaches = BEFORE_ANY_OPERATION.has(answer.status)
      ? problemBreaches(schemas, answer)
      : operationBreaches(document, schemas, operation, answer);
    return { operationId: operation.operationId, breaches };
  };
}

/** What no operation answers is a problem, or an answer to OPTIONS. */
function beside(schemas: SchemaCheck, answer: SeenAnswer, path: string): string[] {
  if (BESIDE_THE_API.test(path)) return [];
  if (answer.method === "OPTIONS" && answer.status === 204) {
    return answer.headers.allow === undefined ? ["204 without Allow"] : [];
  }
  if (answer.status < 400) return [`answers ${answer.status} where the document has no operation`];
  if (answer.status === 405 && answer.headers.allow === undefined) return ["405 without Allow"];
  return problemBreaches(schemas, answer);
}

function problemBreaches(schemas: SchemaCheck, answer: SeenAnswer): string[] {
  const type = essenceOf(answer.headers["content-type"] ?? "");
  if (type !== PROBLEM) return [`answers ${answer.status} as ${type || "nothing"}`];
  if (answer.method === "HEAD") return [];
  return bodyBreaches(schemas, PROBLEM_SCHEMA, type, answer);
}

function operationBreaches(
  document: OpenDocument,
  schemas: SchemaCheck,
  operation: Operation,
  answer: SeenAnswer,
): string[] {
  const declared = operation.responses[answer.status];
  if (declared === undefined) return [`declares no status ${answer.status}`];
  const response = resolve(document, declared);
  // One that stands among the components and refers to nothing else.
  const pointer = declared.$ref?.slice(1) ?? `${operation.pointer}/responses/${answer.status}`;
  return [
    ...headerBreaches(document, response, answer),
    ...contentBreaches(schemas, response, pointer, answer),
  ];
}

function headerBreaches(document: OpenDocument, response: Response, answer: SeenAnswer): string[] {
  const declared = new Set(OF_HTTP);
  const breaches: string[] = [];
  for (const [name, header] of Object.entries(response.headers ?? {})) {
    declared.add(name.toLowerCase());
    if (!resolve(document, header).required) continue;
    if (answer.headers[name.toLowerCase()] === undefined) {
      breaches.push(`${answer.status} without the header ${name}`);
    }
  }
  const undeclared = Object.keys(answer.headers).filter((name) => !declared.has(name));
  return [...breaches, ...undeclared.map((name) => `${answer.status} declares no header ${name}`)];
}

function contentBreaches(
  schemas: SchemaCheck,
  response: Response,
  pointer: string,
  answer: SeenAnswer,
): string[] {
  const type = answer.headers["content-type"];
  if (response.content === undefined) {
    if (answer.body.length > 0) return [`${answer.status} declares no body`];
    return type === undefined ? [] : [`${answer.status} has a media type without a body`];
  }
  const essence = essenceOf(type ?? "");
  if (response.content[essence] === undefined) {
    return [`${answer.status} declares no media type ${essence || "(none)"}`];
  }
  if (answer.method === "HEAD") return answer.body.length === 0 ? [] : ["HEAD with a body"];
  return bodyBreaches(
    schemas,
    `${pointer}/content/${escapePointer(essence)}/schema`,
    essence,
    answer,
  );
}

function bodyBreaches(
  schemas: SchemaCheck,
  pointer: string,
  essence: string,
  { status, body }: SeenAnswer,
): string[] {
  const text = body.toString("utf8");
  let value: unknown = text;
  if (isJson(essence)) {
    try {
      value = JSON.parse(text);
    } catch {
      return [`${status} has a body that is not JSON`];
    }
  }
  return schemas(pointer, value).map((fault) => `${status} body: ${fault}`);
}
