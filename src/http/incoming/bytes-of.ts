import type { Readable } from "node:stream";
import { WireRefusal } from "../wire-failure.ts";

/** A body of which no byte has come for so long is cut off. */
const STALLED_MS = 30_000;

/**
 * The bytes of a body as they come, no faster than they are taken: what is not taken waits with the
 * caller.
 * @throws WireRefusal bodyTooLarge, requestTimeout, malformed
 */
export async function* bytesOf(payload: Readable, limit: number): AsyncGenerator<Buffer> {
  // Ended by whoever answers, not by leaving the loop: the answer goes over the same connection.
  const parts = payload.iterator({ destroyOnReturn: false });
  let length = 0;
  for (;;) {
    const part = await nextOf(parts);
    if (part === null) return;
    length += part.length;
    if (length > limit) throw new WireRefusal({ kind: "bodyTooLarge", limit });
    yield part;
  }
}

async function nextOf(parts: AsyncIterator<Buffer>): Promise<Buffer | null> {
  let timer: NodeJS.Timeout | undefined;
  const stalled = new Promise<never>((_resolve, reject) => {
    timer = setTimeout(() => reject(new WireRefusal({ kind: "requestTimeout" })), STALLED_MS);
  });
  try {
    const { value, done } = await Promise.race([parts.next(), stalled]);
    return done ? null : value;
  } catch (error) {
    if (error instanceof WireRefusal) throw error;
    throw new WireRefusal({ kind: "malformed", detail: "The body breaks off." });
  } finally {
    clearTimeout(timer);
  }
}
