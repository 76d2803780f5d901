import type { FastifyInstance } from "fastify";

const EXPOSED = "ETag, Link, Location, RateLimit, RateLimit-Policy, Retry-After, X-Request-Id";
const TAKEN =
  "Authorization, Content-Type, Idempotency-Key, If-Match, If-None-Match, X-Request-Id, traceparent";

/**
 * Lets browsers on an account's own origins call (the Fetch standard's CORS protocol). The key is the
 * only credential, so that cookies are never allowed.
 */
export function allowOrigins(
  app: FastifyInstance,
  allowsOrigin: (origin: string) => Promise<boolean>,
): void {
  app.addHook("onRequest", async (request, reply) => {
    const { origin } = request.headers;
    reply.header("vary", "Origin");
    if (origin === undefined || !(await allowsOrigin(origin))) return;
    reply.headers({
      "access-control-allow-origin": origin,
      "access-control-expose-headers": EXPOSED,
      "cross-origin-resource-policy": "cross-origin",
    });
    if (request.method === "OPTIONS" && request.headers["access-control-request-method"]) {
      reply.headers({
        "access-control-allow-methods": "GET, HEAD, POST, PUT, PATCH, DELETE",
        "access-control-allow-headers": TAKEN,
        "access-control-max-age": "600",
      });
    }
  });
}
