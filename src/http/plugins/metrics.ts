import type { FastifyInstance } from "fastify";
import { Histogram, type Registry } from "prom-client";

/** Counts and times every request of this scope and those below by its operation. */
export function measureRequests(app: FastifyInstance, registry: Registry): void {
  const seconds = new Histogram({
    name: "http_request_duration_seconds",
    help: "Time from the first byte of a request to the last of its answer.",
    labelNames: ["operation", "status"],
    buckets: [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10],
    registers: [registry],
  });
  app.addHook("onResponse", (request, reply, done) => {
    const operation = request.routeOptions.config.operationId ?? "none";
    seconds.observe({ operation, status: String(reply.statusCode) }, reply.elapsedTime / 1000);
    done();
  });
}
