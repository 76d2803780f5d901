import type { IncomingMessage } from "node:http";
import type { Readable } from "node:stream";
import type { FastifyInstance, FastifyRequest } from "fastify";
import { Refusal } from "../../domain/failure/failure.ts";
import { WireRefusal } from "../wire-failure.ts";

/** Bodies that are being received or worked on: four of 8 MiB, or thousands of small ones. */
const MOST_BYTES = 32 * 1024 * 1024;

/**
 * Lets the routes of this scope take the bytes of a body as they come. A body for which there is no
 * room beside those under way is refused before anything of it is read.
 */
export function receiveBytes(app: FastifyInstance, mediaTypes: readonly string[]): void {
  const taken = new Map<FastifyRequest, number>();
  // Where the caller has gone, the framework's own hook after an answer never runs.
  app.addHook("preParsing", async (request, reply) => {
    reply.raw.once("close", () => taken.delete(request));
  });
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    [...mediaTypes],
    async (request: FastifyRequest, payload: IncomingMessage) => {
      const { bodyLimit } = request.routeOptions;
      const length = Number(request.headers["content-length"] ?? bodyLimit);
      if (length > bodyLimit) throw new WireRefusal({ kind: "bodyTooLarge", limit: bodyLimit });
      const underWay = [...taken.values()].reduce((sum, bytes) => sum + bytes, 0);
      if (underWay + length > MOST_BYTES) throw new Refusal({ kind: "unavailable", retryAfter: 1 });
      taken.set(request, length);
      return received(payload, length);
    },
  );
}

/**
 * Each part is laid at once into memory that was set aside for the whole: to join them at the end
 * takes 30 ms for 8 MiB where the memory is fresh.
 */
function received(payload: Readable, limit: number): Promise<Uint8Array> {
  const bytes = new Uint8Array(limit);
  let length = 0;
  return new Promise((resolve, reject) => {
    payload.on("data", (part: Buffer) => {
      if (length + part.length > limit) reject(new WireRefusal({ kind: "bodyTooLarge", limit }));
      else bytes.set(part, length);
      length += part.length;
    });
    payload.once("end", () => resolve(bytes.subarray(0, length)));
    payload.once("error", () =>
      reject(new WireRefusal({ kind: "malformed", detail: "The body breaks off." })),
    );
  });
}
