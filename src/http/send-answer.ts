import type { FastifyReply } from "fastify";
import type { StoredAnswer } from "../application/ports.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { entityTag, isKnown, isNamed } from "./entity-tag.ts";
import { outgoing } from "./outgoing.ts";
import type { SealableAnswer } from "./plugins/idempotency.ts";
import type { Answer, Route } from "./route.ts";

export const JSON_TYPE = "application/json; charset=utf-8";

/** Sends a handler's answer, or 304 where the caller has it already. */
export function sendAnswer(route: Route<never>, reply: FastifyReply, answer: Answer): unknown {
  const tag = tagOf(answer);
  if (tag !== undefined && route.method === "GET" && isKnownToCaller(route, reply, tag)) {
    return reply.code(304).headers(headersOf(answer)).send();
  }
  reply.code(answer.status).headers(headersOf(answer));
  if (answer.link !== undefined) reply.header("link", answer.link);
  if (answer.stream !== undefined && answer.type !== undefined) {
    return reply.type(answer.type).send(outgoing(answer.stream, reply));
  }
  if (answer.body === undefined) return reply.send();
  if (answer.type !== undefined) return reply.type(answer.type).send(answer.body);
  return reply.type(JSON_TYPE).send(JSON.stringify(answer.body));
}

/** Sends what was answered the first time. */
export function sendStored(reply: FastifyReply, stored: StoredAnswer): unknown {
  reply.code(stored.status).headers(stored.headers);
  if (stored.body === null) return reply.send();
  return reply.type(JSON_TYPE).send(stored.body);
}

/** An answer as it is kept for a repeat, less what is shown once. */
export function seal(answer: SealableAnswer, secretFields: readonly string[]): StoredAnswer {
  const body = secretFields.reduce(without, answer.body);
  return {
    status: answer.status,
    headers: headersOf(answer),
    body: body === undefined ? null : JSON.stringify(body),
  };
}

/** RFC 9110, section 13.2.2: first If-Match, then If-None-Match. */
function isKnownToCaller(route: Route<never>, reply: FastifyReply, tag: string): boolean {
  const { "if-match": ifMatch, "if-none-match": ifNoneMatch } = reply.request.headers;
  if (ifMatch !== undefined && !isNamed(ifMatch, tag)) {
    throw new Refusal({ kind: "preconditionFailed", resource: route.tag.toLowerCase() });
  }
  if (ifNoneMatch === undefined || route.versioned === "moving") return false;
  return isKnown(ifNoneMatch, tag);
}

function tagOf({ version, tag }: SealableAnswer): string | undefined {
  return version === undefined ? tag : entityTag(version);
}

function headersOf(answer: SealableAnswer): Record<string, string> {
  const tag = tagOf(answer);
  return {
    ...(tag === undefined ? {} : { etag: tag }),
    ...(answer.location === undefined ? {} : { location: answer.location }),
    ...answer.headers,
  };
}

/** A copy without the member that the JSON Pointer names. */
function without(value: unknown, pointer: string): unknown {
  const steps = pointer
    .split("/")
    .slice(1)
    .map((step) => step.replaceAll("~1", "/").replaceAll("~0", "~"));
  return withoutStep(value, steps);
}

function withoutStep(value: unknown, [step, ...rest]: readonly string[]): unknown {
  if (typeof value !== "object" || value === null || step === undefined) return value;
  const entries = Object.entries(value);
  return Object.fromEntries(
    rest.length === 0
      ? entries.filter(([name]) => name !== step)
      : entries.map(([name, part]) => [name, name === step ? withoutStep(part, rest) : part]),
  );
}
