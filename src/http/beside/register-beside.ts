import { Readable } from "node:stream";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import type { HttpOptions } from "../options.ts";
import type { RateLimits } from "../plugins/rate-limit.ts";
import { readQuery, requireMediaType } from "../read-request.ts";
import { routeOptions } from "../register.ts";
import { mediaTypesTaken, type Route } from "../route.ts";
import type { Piece } from "./question.ts";
import { receiveBytes } from "./receive-bytes.ts";
import type { Asked, ThreadBeside } from "./thread-beside.ts";

/** Registers a route that the thread answers: its bytes go there as they came, and come back as they go out. */
export function registerBeside(
  app: FastifyInstance,
  route: Route<never>,
  limits: RateLimits,
  options: HttpOptions,
  thread: ThreadBeside,
): void {
  app.register(async (scope) => {
    receiveBytes(scope, mediaTypesTaken(route));
    scope.route({
      ...routeOptions(route, limits, options),
      handler: serveBeside(route, options, thread),
    });
  });
}

function serveBeside(route: Route<never>, options: HttpOptions, thread: ThreadBeside) {
  return async (request: FastifyRequest, reply: FastifyReply): Promise<unknown> => {
    const { errors } = readQuery(route, request.query);
    requireMediaType(request, mediaTypesTaken(route));
    const asked = thread.ask({
      operationId: route.operationId,
      bytes: request.body as Uint8Array | undefined,
      faults: errors,
      now: options.now(),
      baseUrl: options.baseUrl,
      requestId: request.id,
      check: options.checkAnswers ?? false,
    });
    reply.raw.once("close", asked.close);
    const first = await asked.next();
    reply.code(first.head?.status ?? 200).headers({ ...first.head?.headers });
    return reply.send(first.last ? Buffer.from(first.bytes) : Readable.from(rest(first, asked)));
  };
}

async function* rest(first: Piece, asked: Asked): AsyncGenerator<Uint8Array> {
  let piece = first;
  yield piece.bytes;
  while (!piece.last) {
    piece = await asked.next();
    yield piece.bytes;
  }
}
