import { Readable } from "node:stream";
import type { FastifyReply } from "fastify";

/**
 * An answer that is made while it is sent, no faster than the caller takes it. Should it break off,
 * the connection ends without the last chunk, by which the caller knows.
 */
export function outgoing(parts: AsyncIterable<string | Uint8Array>, reply: FastifyReply): Readable {
  // A slow caller is no idle one.
  reply.raw.socket?.setTimeout(0);
  const stream = Readable.from(parts, { objectMode: false });
  stream.once("error", (error) => {
    reply.log.error({ err: error }, "an answer broke off");
    reply.raw.destroy();
  });
  return stream;
}
