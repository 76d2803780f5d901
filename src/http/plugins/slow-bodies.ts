import type { FastifyInstance } from "fastify";
import { answerClientError } from "../socket-failures.ts";

/** From its headers on, a body has so long to arrive. */
const SLOWEST_MS = 9_000;

/**
 * Cuts off a body that has not arrived in seconds, answered or not: whoever sends slowly holds a
 * place. Files are passed over: `incoming/` looks at how they come.
 */
export function endSlowBodies(app: FastifyInstance, baseUrl: string): void {
  app.addHook("onRequest", (request, reply, done) => {
    done();
    if (request.routeOptions.config.file || request.raw.complete) return;
    const timer = setTimeout(() => {
      if (request.raw.complete) return;
      const { socket } = request.raw;
      if (reply.raw.headersSent) socket.destroy();
      else answerClientError({ ...new Error(), code: "ERR_HTTP_REQUEST_TIMEOUT" }, socket, baseUrl);
    }, SLOWEST_MS);
    timer.unref();
    request.raw.once("close", () => clearTimeout(timer));
    request.raw.once("end", () => clearTimeout(timer));
  });
}
