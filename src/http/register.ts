import type { FastifyInstance } from "fastify";
import { admit } from "./admit.ts";
import type { HttpOptions } from "./options.ts";
import type { RateLimits } from "./plugins/rate-limit.ts";
import { mediaTypesTaken, type Route } from "./route.ts";
import { serve } from "./serve.ts";

/** Registers a route as its contract says; `{vehicleId}` in its path becomes `:vehicleId`. */
export function register<D>(
  app: FastifyInstance,
  route: Route<D>,
  services: D,
  limits: RateLimits,
  options: HttpOptions,
): void {
  app.route({
    ...routeOptions(route, limits, options),
    handler: serve(route, services, options),
  });
}

/** What the framework is told of every route, whoever answers it. */
export function routeOptions(route: Route<never>, limits: RateLimits, options: HttpOptions) {
  return {
    method: route.method,
    url: route.path.replaceAll(/\{(\w+)\}/g, ":$1"),
    config: {
      operationId: route.operationId,
      accepted: mediaTypesTaken(route),
      ...(route.takes && { file: true as const }),
    },
    ...(route.bodyLimit === undefined ? {} : { bodyLimit: route.bodyLimit }),
    onRequest: admit(route, limits, options),
  };
}
