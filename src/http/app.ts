import Fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from "fastify";
import { Registry } from "prom-client";
import "./fastify-types.ts";
import { answerFailures, sendProblem } from "./answer-failures.ts";
import { registerBeside } from "./beside/register-beside.ts";
import { threadBeside } from "./beside/thread-beside.ts";
import { type Description, describe } from "./document.ts";
import { failureOfError } from "./failure-of-error.ts";
import { registerIncoming } from "./incoming/register-incoming.ts";
import { takeJson } from "./json-body.ts";
import type { HttpOptions } from "./options.ts";
import { pathTable } from "./path-table.ts";
import { allowOrigins } from "./plugins/cors.ts";
import { serveDocs } from "./plugins/docs.ts";
import { measureRequests } from "./plugins/metrics.ts";
import { rateLimits } from "./plugins/rate-limit.ts";
import { traceOf } from "./plugins/request-id.ts";
import { API_SECURITY } from "./plugins/security-headers.ts";
import { endSlowBodies } from "./plugins/slow-bodies.ts";
import { register } from "./register.ts";
import type { Route } from "./route.ts";
import type { OperationServices } from "./routes/operation.ts";
import { ownRoutes } from "./routes/own.ts";
import { serverOptions } from "./server-options.ts";
import { answerExpectation } from "./socket-failures.ts";
import { WireRefusal } from "./wire-failure.ts";

const THREAD = new URL("./beside/thread.js", import.meta.url);

/** The API, wired and not yet listening. */
export interface HttpApp {
  readonly app: FastifyInstance;
  /** The OpenAPI document, as served at `/openapi.json`. */
  readonly description: Description;
  /** From now on `/readyz` says 503, so that no new work is sent here; running work goes on. */
  beginShutdown(): void;
}

/**
 * Builds the API of its routes and what they need. Pages and other things that are not of the API
 * are registered on `app` in scopes of their own.
 */
export async function buildApp<D>(
  routes: readonly Route<D>[],
  services: D,
  options: HttpOptions,
): Promise<HttpApp> {
  const state = { stopping: false };
  const registry = options.registry ?? new Registry();
  const ready = async () => !state.stopping && (await options.ports.ready());
  const own: OperationServices = { ready, registry };
  const beside = ownRoutes(options.baseUrl, routes);
  const description = describe([...routes, ...beside], options);
  const app = Fastify({ ...serverOptions(options), frameworkErrors: tellFrameworkError(options) });
  prepare(app, options, registry);
  // A connection kept alive would hold up the end of the process until its caller lets go.
  app.addHook("onSend", async (_request, reply) => {
    if (state.stopping) reply.header("connection", "close");
  });
  answerFailures(app, pathTable([...routes, ...beside]), options);
  const limits = rateLimits(options.rates);
  const thread = threadBeside(options.threadProgram ?? THREAD, (error) => {
    app.log.error({ err: error }, "the thread beside the event loop broke");
  });
  app.addHook("onClose", () => thread.close());
  await app.register(async (api) => {
    takeJson(api);
    for (const route of routes) {
      if (route.beside) registerBeside(api, route, limits, options, thread);
      else if (route.takes) registerIncoming(api, route, services, limits, options);
      else register(api, route, services, limits, options);
    }
    for (const route of beside) register(api, route, own, limits, options);
  });
  await serveDocs(app, description);
  return {
    app,
    description,
    beginShutdown: () => {
      state.stopping = true;
    },
  };
}

/** What holds for everything that this server answers. */
function prepare(app: FastifyInstance, options: HttpOptions, registry: Registry): void {
  app.removeAllContentTypeParsers();
  app.decorateRequest("caller", null);
  app.setChildLoggerFactory((logger, bindings, childOptions, request) => {
    const trace = traceOf(request.headers.traceparent);
    return logger.child(trace === null ? bindings : { ...bindings, ...trace }, childOptions);
  });
  endSlowBodies(app, options.baseUrl);
  app.addHook("onRequest", (request, reply, done) => {
    reply.headers({ ...API_SECURITY, "x-request-id": request.id });
    done(request.headers.host === undefined ? missingHost() : undefined);
  });
  if (options.ports.allowsOrigin) allowOrigins(app, options.ports.allowsOrigin);
  measureRequests(app, registry);
  logRequests(app);
  app.server.on("checkExpectation", (request, response) => {
    answerExpectation(request, response, options.baseUrl);
  });
}

/** One line a request. The query stays out of it: some links carry their secret there. */
function logRequests(app: FastifyInstance): void {
  app.addHook("onResponse", (request, reply, done) => {
    request.log.info(
      {
        operation: request.routeOptions.config.operationId,
        method: request.method,
        path: request.routeOptions.url ?? null,
        status: reply.statusCode,
        milliseconds: Math.round(reply.elapsedTime * 10) / 10,
        accountId: request.caller?.accountId,
        keyId: request.caller?.keyId,
      },
      "answered",
    );
    done();
  });
}

function missingHost(): Error {
  return new WireRefusal({ kind: "malformed", detail: "HTTP/1.1 needs a Host header." });
}

/** Faults that the framework finds before it has a route to run. */
function tellFrameworkError(options: HttpOptions) {
  return (error: Error, _request: FastifyRequest, reply: FastifyReply): void => {
    sendProblem(reply, failureOfError(error, 0, []), options.baseUrl);
  };
}
