import type { FastifyReply, FastifyRequest } from "fastify";
import type { HttpOptions } from "./options.ts";
import { authenticate, requireOperator, requireScope } from "./plugins/authenticate.ts";
import { hideFromOrigin } from "./plugins/cors.ts";
import type { RateLimits } from "./plugins/rate-limit.ts";
import type { Route } from "./route.ts";
import { WireRefusal } from "./wire-failure.ts";

/** Lets a request in: known key, quota, scope. Runs before the body is read. */
export function admit(route: Route<never>, limits: RateLimits, options: HttpOptions) {
  const { access } = route;
  return async (request: FastifyRequest, reply: FastifyReply): Promise<void> => {
    refuseCoding(request.headers["content-encoding"]);
    if ("open" in access) {
      if (!route.unlimited) reply.headers({ ...(await limits.count("address", request.ip)) });
    } else if ("operator" in access) {
      await admitOperator(request, reply, limits, options);
    } else {
      await admitKey(request, reply, limits, options);
      if (access.scope !== "any" && request.caller) requireScope(request.caller, access.scope);
    }
  };
}

async function admitKey(
  request: FastifyRequest,
  reply: FastifyReply,
  limits: RateLimits,
  options: HttpOptions,
): Promise<void> {
  const { authorization, origin = null } = request.headers;
  const presented = { authorization, origin, address: request.ip };
  const admitted = await countingRefusals(request, limits, () =>
    authenticate(presented, limits, options),
  );
  request.caller = admitted.caller;
  reply.headers({ ...admitted.rate });
  if (origin !== null && !admitted.originAllowed) hideFromOrigin(reply);
}

/** The operator's token is no key, and never belongs into a browser. */
async function admitOperator(
  request: FastifyRequest,
  reply: FastifyReply,
  limits: RateLimits,
  options: HttpOptions,
): Promise<void> {
  hideFromOrigin(reply);
  await limits.check("refusedKeys", request.ip);
  await countingRefusals(request, limits, async () =>
    requireOperator(request.headers.authorization, options),
  );
  reply.headers({ ...(await limits.count("address", request.ip)) });
}

/** @throws Refusal tooManyRequests in the place of a refusal that goes beyond the quota */
async function countingRefusals<T>(
  request: FastifyRequest,
  limits: RateLimits,
  work: () => Promise<T>,
): Promise<T> {
  try {
    return await work();
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
