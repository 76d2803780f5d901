import type { FastifyReply, FastifyRequest } from "fastify";
import type { ExpectedVersion } from "../domain/failure/expected-version.ts";
import { checkAnswer } from "./check-answer.ts";
import { expectedVersion } from "./entity-tag.ts";
import { negotiate } from "./negotiate.ts";
import type { HttpOptions } from "./options.ts";
import { fingerprint, type IdempotencyHandle, readIdempotencyKey } from "./plugins/idempotency.ts";
import { toProblem } from "./problems.ts";
import { type RequestParts, readRequest } from "./read-request.ts";
import { type AnyCall, type Incoming, needsIfMatch, type Route } from "./route.ts";
import { seal, sendAnswer, sendStored } from "./send-answer.ts";
import { WireRefusal } from "./wire-failure.ts";

/** The handler of a route: reads the request, does the work, sends the answer. */
export function serve<D>(route: Route<D>, services: D, options: HttpOptions) {
  return async (request: FastifyRequest, reply: FastifyReply): Promise<unknown> => {
    const ifMatch = readIfMatch(route, request);
    const parts = readRequest(route, request);
    const idempotency = idempotencyOf(route, request, parts);
    const call = callOf(route, services, options, request, { parts, ifMatch, idempotency });
    const answer = await route.handle(call);
    if ("replay" in answer) return sendStored(reply, answer.replay);
    if (options.checkAnswers) checkAnswer(route, answer);
    return sendAnswer(route, reply, answer);
  };
}

/** @throws WireRefusal preconditionRequired */
function readIfMatch(route: Route<never>, request: FastifyRequest): ExpectedVersion {
  if (!needsIfMatch(route)) return "any";
  const field = request.headers["if-match"];
  if (field === undefined) throw new WireRefusal({ kind: "preconditionRequired" });
  return expectedVersion(field);
}

function idempotencyOf(
  route: Route<never>,
  request: FastifyRequest,
  parts: RequestParts,
): IdempotencyHandle | null {
  const field = request.headers["idempotency-key"];
  if (route.creates === undefined || field === undefined) return null;
  const who = request.caller?.accountId ?? "operator";
  const secretFields = route.secretFields ?? [];
  return {
    scope: `${who} ${route.method} ${route.path}`,
    key: readIdempotencyKey(String(field)),
    fingerprint: fingerprint(request.url, bodyOf(route, request) ?? parts.body, request.caller),
    seal: (answer) => seal(answer, secretFields),
  };
}

/** A body that is still to come is made part of the fingerprint by whoever reads it. */
function bodyOf(route: Route<never>, request: FastifyRequest): unknown {
  return route.takes === undefined ? request.body : null;
}

interface Read {
  readonly parts: RequestParts;
  readonly ifMatch: ExpectedVersion;
  readonly idempotency: IdempotencyHandle | null;
}

function callOf<D>(
  route: Route<D>,
  deps: D,
  options: HttpOptions,
  request: FastifyRequest,
  read: Read,
): AnyCall<D> {
  return {
    operationId: route.operationId,
    url: request.url,
    ...read.parts,
    incoming: route.takes === undefined ? null : (request.body as Incoming),
    caller: request.caller,
    requestId: request.id,
    address: request.ip,
    log: request.log,
    deps,
    ifMatch: read.ifMatch,
    idempotency: read.idempotency,
    cursorSecret: options.signingSecret,
    now: options.now,
    problemOf: (failure) => toProblem(failure, options.baseUrl, request.id).body,
    accepts: (offered) => negotiate(request.headers.accept, offered),
  };
}
