import type { Readable } from "node:stream";

/** Bytes of a body that are passed over when it was answered before its end. */
const LONGEST_REST = 64 * 1024 * 1024;

/**
 * Takes no notice of the rest of a body that was answered before its end, so that the caller comes to
 * read the answer: a connection that closes under what is still sent often takes the answer with it.
 * A long rest ends with its connection.
 */
export function dropRest(payload: Readable): void {
  let length = 0;
  payload.on("data", (part: Buffer) => {
    length += part.length;
    if (length > LONGEST_REST) payload.destroy();
  });
  payload.resume();
}
