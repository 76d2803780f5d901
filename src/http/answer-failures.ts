import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { dropRest } from "./drop-rest.ts";
import { failureOfError } from "./failure-of-error.ts";
import type { HttpOptions } from "./options.ts";
import type { PathTable } from "./path-table.ts";
import { API_SECURITY } from "./plugins/security-headers.ts";
import { type AnyFailure, PROBLEM_MEDIA_TYPE, toProblem } from "./problems.ts";

export function sendProblem(
  reply: FastifyReply,
  failure: AnyFailure,
  baseUrl: string,
): FastifyReply {
  const { status, headers, body } = toProblem(failure, baseUrl, reply.request.id);
  return (
    reply
      .code(status)
      .headers({ ...API_SECURITY, "x-request-id": reply.request.id, ...headers })
      .type(PROBLEM_MEDIA_TYPE)
      // As bytes, since to a text the framework adds a charset, which this media type does not have.
      .send(Buffer.from(JSON.stringify(body)))
  );
}

/** Turns whatever a request fails with into a problem: the one place where that is done. */
export function answerFailures(
  app: FastifyInstance,
  paths: PathTable,
  { baseUrl, ports }: Pick<HttpOptions, "baseUrl" | "ports">,
): void {
  app.setErrorHandler((error, request, reply) => {
    const { bodyLimit, config } = request.routeOptions;
    keepConnection(request, reply);
    const failure = failureOfError(error, bodyLimit ?? 0, config.accepted ?? []);
    if (failure.kind !== "internal") return sendProblem(reply, failure, baseUrl);
    request.log.error({ err: error }, "request failed");
    const away = ports.isAway?.(error) === true;
    return sendProblem(reply, away ? { kind: "unavailable", retryAfter: 5 } : failure, baseUrl);
  });
  app.setNotFoundHandler((request, reply) => {
    const methods = paths(request.url.split("?", 1)[0] ?? "");
    if (methods === null) return sendProblem(reply, { kind: "unknownPath" }, baseUrl);
    if (request.method === "OPTIONS") return answerOptions(request, reply, methods);
    return sendProblem(reply, { kind: "methodNotAllowed", allow: methods }, baseUrl);
  });
}

/**
 * The framework closes the connection of every body that it cannot read, most of which were sent to
 * their end; `plugins/slow-bodies.ts` ends those that go on for long.
 */
function keepConnection({ raw }: FastifyRequest, reply: FastifyReply): void {
  if (reply.getHeader("connection") !== "close") return;
  reply.removeHeader("connection");
  if (!raw.complete) dropRest(raw);
}

function answerOptions(
  _request: FastifyRequest,
  reply: FastifyReply,
  methods: readonly string[],
): FastifyReply {
  if (methods.includes("PATCH")) {
    reply.header("accept-patch", "application/merge-patch+json, application/json");
  }
  return reply.code(204).header("allow", methods.join(", ")).send();
}
