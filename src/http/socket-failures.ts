import { randomUUID } from "node:crypto";
import { type IncomingMessage, type ServerResponse, STATUS_CODES } from "node:http";
import type { Socket } from "node:net";
import { type AnyFailure, PROBLEM_MEDIA_TYPE, type ProblemAnswer, toProblem } from "./problems.ts";

/**
 * Answers on a connection on which no request could be read, so that no route, hook or error handler
 * ever sees one.
 */
export function answerClientError(
  error: Error & { code?: string },
  socket: Socket,
  baseUrl: string,
): void {
  if (error.code === "ECONNRESET" || !socket.writable) {
    socket.destroy();
    return;
  }
  const id = randomUUID();
  const problem = toProblem(failureOf(error.code), baseUrl, id);
  socket.end(rawAnswer(problem, id));
}

/** Answers an `Expect` that is not `100-continue`, which the server hands over before any route. */
export function answerExpectation(
  _request: IncomingMessage,
  response: ServerResponse,
  baseUrl: string,
): void {
  const id = randomUUID();
  const problem = toProblem({ kind: "expectationFailed" }, baseUrl, id);
  const text = JSON.stringify(problem.body);
  response.writeHead(problem.status, {
    "content-type": PROBLEM_MEDIA_TYPE,
    "content-length": Buffer.byteLength(text),
    "x-request-id": id,
  });
  response.end(text);
}

function failureOf(code: string | undefined): AnyFailure {
  switch (code) {
    case "HPE_HEADER_OVERFLOW":
      return { kind: "headersTooLarge" };
    case "ERR_HTTP_REQUEST_TIMEOUT":
      return { kind: "requestTimeout" };
    default:
      return { kind: "malformed", detail: "This is not sound HTTP/1.1." };
  }
}

function rawAnswer({ status, headers, body }: ProblemAnswer, requestId: string): string {
  const text = JSON.stringify(body);
  const fields = {
    ...headers,
    "content-type": PROBLEM_MEDIA_TYPE,
    "content-length": String(Buffer.byteLength(text)),
    "x-request-id": requestId,
    connection: "close",
  };
  const lines = Object.entries(fields).map(([name, value]) => `${name}: ${value}`);
  return [`HTTP/1.1 ${status} ${STATUS_CODES[status]}`, ...lines, "", text].join("\r\n");
}
