import type { IncomingMessage } from "node:http";
import type { FastifyInstance, FastifyRequest } from "fastify";
import type { HttpOptions } from "../options.ts";
import type { RateLimits } from "../plugins/rate-limit.ts";
import { register } from "../register.ts";
import { mediaTypesTaken, type Route } from "../route.ts";
import { WireRefusal } from "../wire-failure.ts";
import { bytesOf } from "./bytes-of.ts";

/** Registers a route whose body is read as it comes: nothing holds it whole. */
export function registerIncoming<D>(
  app: FastifyInstance,
  route: Route<D>,
  services: D,
  limits: RateLimits,
  options: HttpOptions,
): void {
  app.register(async (scope) => {
    scope.removeAllContentTypeParsers();
    scope.addContentTypeParser([...mediaTypesTaken(route)], incoming);
    register(scope, route, services, limits, options);
  });
}

async function incoming(request: FastifyRequest, payload: IncomingMessage) {
  const { bodyLimit } = request.routeOptions;
  if (Number(request.headers["content-length"] ?? 0) > bodyLimit) {
    throw new WireRefusal({ kind: "bodyTooLarge", limit: bodyLimit });
  }
  const mediaType = request.headers["content-type"]?.split(";", 1)[0]?.trim().toLowerCase() ?? "";
  // While the file is worked on its connection is quiet, and not idle; how it comes is looked at there.
  request.raw.socket.setTimeout(0);
  return { mediaType, bytes: bytesOf(payload, bodyLimit) };
}
