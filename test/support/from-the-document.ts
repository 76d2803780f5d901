import { appendFileSync } from "node:fs";
import type { IncomingMessage, OutgoingHttpHeaders, Server, ServerResponse } from "node:http";
import { inject } from "vitest";
import {
  type AnswerCheck,
  answerCheck,
  type SeenAnswer,
} from "../../src/commands/document/check-answer.ts";
import { type OpenDocument, operationsOf } from "../../src/commands/document/open-document.ts";

/** How often one operation was answered, and how often 2xx. */
export interface Tally {
  answers: number;
  done: number;
}

/** What one test file saw. */
export interface SeenInFile {
  readonly file: string;
  /** Answers where the document has no operation: refusals, its own pages, made-up lamps. */
  besides: number;
  readonly operations: Record<string, Tally>;
}

const breaches: string[] = [];
const tallies: Record<string, Tally> = {};
let besides = 0;

/**
 * Holds every answer of a listening server to its document, whoever asks: what goes out is looked at
 * on the server's own side of the wire. A breach fails the test that runs.
 */
export function holdToDocument(server: Server, document: OpenDocument): void {
  const check = answerCheck(document);
  // Each operation is in the tally, so that those which are never called can be told.
  for (const { operationId } of operationsOf(document)) {
    tallies[operationId] ??= { answers: 0, done: 0 };
  }
  server.prependListener("request", (request, response) => watch(request, response, check));
}

/** Holds an answer that came in some other way. */
export function holdAnswer(check: AnswerCheck, answer: SeenAnswer, isTheApi = true): void {
  const { operationId, breaches: found } = check(answer);
  const where = `${answer.method} ${answer.url.slice(0, 200)}`;
  for (const breach of found)
    breaches.push(`${operationId ?? "no operation"}: ${breach} (${where})`);
  if (operationId === null || !isTheApi) {
    besides += 1;
    return;
  }
  tallies[operationId] ??= { answers: 0, done: 0 };
  const tally = tallies[operationId];
  tally.answers += 1;
  if (answer.status < 300) tally.done += 1;
}

/** The breaches since the last call. */
export function takeBreaches(): string[] {
  return breaches.splice(0);
}

/** Hands over to the end of the run what this file saw. */
export function reportSeen(file: string): void {
  if (besides === 0 && Object.keys(tallies).length === 0) return;
  const seen: SeenInFile = { file, besides, operations: tallies };
  appendFileSync(inject("seenAnswers"), `${JSON.stringify(seen)}\n`);
}

type Headers = Readonly<Record<string, string>>;

function watch(request: IncomingMessage, response: ServerResponse, check: AnswerCheck): void {
  const chunks: Buffer[] = [];
  let written: Headers = {};
  const keep = (chunk: unknown, encoding?: unknown) => {
    if (typeof chunk === "string") {
      chunks.push(Buffer.from(chunk, typeof encoding === "string" ? (encoding as "utf8") : "utf8"));
    } else if (chunk instanceof Uint8Array) {
      chunks.push(Buffer.from(chunk));
    }
  };
  const { write, end, writeHead } = response;
  response.write = ((...args: Parameters<typeof write>) => {
    keep(args[0], args[1]);
    return write.apply(response, args);
  }) as typeof write;
  response.end = ((...args: Parameters<typeof end>) => {
    keep(args[0], args[1]);
    return end.apply(response, args);
  }) as typeof end;
  response.writeHead = ((...args: Parameters<typeof writeHead>) => {
    const headers = args.find((arg) => typeof arg === "object" && arg !== null);
    written = fieldsOf((headers ?? {}) as OutgoingHttpHeaders);
    return writeHead.apply(response, args);
  }) as typeof writeHead;
  response.once("finish", () => {
    const { method = "", url = "" } = request;
    const headers = { ...fieldsOf(response.getHeaders()), ...written };
    const body = Buffer.concat(chunks);
    holdAnswer(check, { method, url, status: response.statusCode, headers, body });
  });
}

function fieldsOf(headers: OutgoingHttpHeaders): Headers {
  const fields: Record<string, string> = {};
  for (const [name, value] of Object.entries(headers)) {
    if (value !== undefined) fields[name.toLowerCase()] = String(value);
  }
  return fields;
}
