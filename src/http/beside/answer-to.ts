import { breathing } from "../../application/breathe.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { checkAnswer } from "../check-answer.ts";
import { failureOfError } from "../failure-of-error.ts";
import { parseJson } from "../json-body.ts";
import { PROBLEM_MEDIA_TYPE, toProblem } from "../problems.ts";
import type { Answer, AnyCall, Route } from "../route.ts";
import { forecastRoutes } from "../routes/forecasts.ts";
import { JSON_TYPE } from "../send-answer.ts";
import type { Head, Piece, Question } from "./question.ts";
import { readLongBody } from "./read-long-body.ts";

const ROUTES: readonly Route<unknown>[] = forecastRoutes;
/** Small enough to go out at once, large enough that few are needed. */
const PIECE_CHARACTERS = 64 * 1024;
const ENCODER = new TextEncoder();

/**
 * The answer to a question, from reading its bytes to writing its own; a refusal is answered as the
 * problem that it is. No further piece is made once it is unwanted.
 * @throws whatever is our own fault, before or after the first piece
 */
export async function* answerTo(question: Question, unwanted: AbortSignal): AsyncGenerator<Piece> {
  const route = routeOf(question);
  const answer = await answerOf(route, question).catch((error: unknown) => ({ error }));
  if ("error" in answer) {
    yield problemPiece(answer.error, question);
    return;
  }
  const { status, parts } = answer;
  const head = { status, headers: { "content-type": JSON_TYPE } };
  yield* gathered(head, question.check ? checked(route, status, parts) : parts, unwanted);
}

function routeOf({ operationId }: Question): Route<unknown> {
  const route = ROUTES.find((one) => one.operationId === operationId);
  if (route === undefined) throw new Error(`The thread has no route ${operationId}.`);
  return route;
}

async function answerOf(
  route: Route<unknown>,
  question: Question,
): Promise<{ status: number; parts: AsyncIterable<string> }> {
  const given = parseJson(question.bytes ?? new Uint8Array());
  const body = await readLongBody(route, given === undefined ? {} : given, breathing());
  const errors = [...question.faults, ...body.errors];
  if (errors.length > 0) throw new Refusal({ kind: "invalid", errors });
  // A route that is answered here sees no more of its call than this: see `routeBeside`.
  const call = { body: body.value, now: () => question.now } as AnyCall<unknown>;
  const { status, parts } = (await route.handle(call)) as Answer;
  if (parts === undefined) throw new Error(`${route.operationId} answers without parts.`);
  return { status, parts };
}

async function* gathered(
  head: Head,
  parts: AsyncIterable<string>,
  unwanted: AbortSignal,
): AsyncGenerator<Piece> {
  let first: { head?: Head } = { head };
  let text = "";
  for await (const part of parts) {
    if (unwanted.aborted) return;
    text += part;
    if (text.length < PIECE_CHARACTERS) continue;
    yield { ...first, bytes: ENCODER.encode(text), last: false };
    first = {};
    text = "";
  }
  yield { ...first, bytes: ENCODER.encode(text), last: true };
}

/** The same parts, once their whole keeps the contract. */
async function* checked(
  route: Route<never>,
  status: number,
  parts: AsyncIterable<string>,
): AsyncGenerator<string> {
  const all: string[] = [];
  for await (const part of parts) all.push(part);
  checkAnswer(route, { status, body: JSON.parse(all.join("")) as unknown });
  yield* all;
}

function problemPiece(error: unknown, { baseUrl, requestId }: Question): Piece {
  const failure = failureOfError(error, 0, []);
  if (failure.kind === "internal") throw error;
  const { status, headers, body } = toProblem(failure, baseUrl, requestId);
  return {
    head: { status, headers: { ...headers, "content-type": PROBLEM_MEDIA_TYPE } },
    bytes: ENCODER.encode(JSON.stringify(body)),
    last: true,
  };
}
