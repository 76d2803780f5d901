import { createServer, type Server } from "node:http";
import type { Measurements } from "./measurements.ts";

export interface Watched {
  readonly measured: Pick<Measurements, "registry" | "text">;
  /** When the last beat ended, by a monotonic clock in ms. */
  lastBeat(): number;
  /** Whether it takes work: the database answers, it is not stopping and not on hold. */
  ready(): Promise<boolean>;
}

/** A beat that takes longer hangs. */
const HANGING_MS = 120_000;

/** Serves `/livez`, `/readyz` and `/metrics` of a worker to whoever watches it. */
export function watchServer(watched: Watched): Server {
  const answers: Record<string, () => Promise<[status: number, type: string, body: string]>> = {
    "/livez": async () => {
      const beats = performance.now() - watched.lastBeat() < HANGING_MS;
      return beats ? [200, "text/plain", "ok\n"] : [503, "text/plain", "The worker hangs.\n"];
    },
    "/readyz": async () =>
      (await watched.ready())
        ? [200, "text/plain", "ok\n"]
        : [503, "text/plain", "The worker takes no work.\n"],
    "/metrics": async () => [
      200,
      watched.measured.registry.contentType,
      await watched.measured.text(),
    ],
  };
  return createServer((request, response) => {
    const answer = answers[request.url ?? ""];
    if (!answer || request.method !== "GET") {
      response.writeHead(404, { "content-type": "text/plain" }).end("Not here.\n");
      return;
    }
    answer()
      .catch((): [number, string, string] => [500, "text/plain", "It failed.\n"])
      .then(([status, type, body]) => {
        response.writeHead(status, { "content-type": type }).end(body);
      });
  });
}
