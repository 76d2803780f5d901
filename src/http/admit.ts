import type { FastifyReply, FastifyRequest } from "fastify";
import type { HttpOptions } from "./options.ts";
import { authenticate } from "./plugins/authenticate.ts";
import type { RateLimits } from "./plugins/rate-limit.ts";
import type { Route } from "./route.ts";
import { WireRefusal } from "./wire-failure.ts";

/** Lets a request in: known key, scope, quota. Runs before the body is read. */
export function admit(route: Route<never>, limits: RateLimits, options: HttpOptions) {
  return async (request: FastifyRequest, reply: FastifyReply): Promise<void> => {
    refuseCoding(request.headers["content-encoding"]);
    if (!("open" in route.access)) await limits.check("refusedKeys", request.ip);
    request.caller = await authenticated(route, request, limits, options);
    if (route.unlimited) return;
    const keyId = request.caller?.keyId;
    const rate =
      keyId === undefined
        ? await limits.count("address", request.ip)
        : await limits.count("key", keyId);
    reply.headers({ ...rate });
  };
}

async function authenticated(
  route: Route<never>,
  request: FastifyRequest,
  limits: RateLimits,
  options: HttpOptions,
) {
  try {
    return await authenticate(request.headers.authorization, route.access, options);
  } catch (error) {
    if (error instanceof WireRefusal) await limits.count("refusedKeys", request.ip);
    throw error;
  }
}

function refuseCoding(coding: string | undefined): void {
  if (coding !== undefined && coding.toLowerCase() !== "identity") {
    throw new WireRefusal({ kind: "unsupportedCoding" });
  }
}
