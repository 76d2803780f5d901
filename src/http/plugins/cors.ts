import type { FastifyInstance, FastifyReply } from "fastify";

const EXPOSED = "ETag, Link, Location, RateLimit, RateLimit-Policy, Retry-After, X-Request-Id";
const TAKEN =
  "Authorization, Content-Type, Idempotency-Key, If-Match, If-None-Match, X-Request-Id, traceparent";
const TOLD_TO_ORIGIN = ["access-control-allow-origin", "access-control-expose-headers"];

/**
 * Lets browsers on an account's own origins call (the Fetch standard's CORS protocol). The key is the
 * only credential, so that cookies are never allowed. A browser asks before it shows a key: it is told
 * yes where any account lists the origin. Once the key is known, `hideFromOrigin` takes that back
 * where it is another account's.
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

/** The page that asked may not read this answer. */
export function hideFromOrigin(reply: FastifyReply): void {
  for (const name of [...TOLD_TO_ORIGIN, "cross-origin-resource-policy"]) reply.removeHeader(name);
}
