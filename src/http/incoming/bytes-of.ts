import type { Readable } from "node:stream";
import { dropRest } from "../drop-rest.ts";
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
  try {
    for (;;) {
      const part = await nextOf(parts);
      if (part === null) return;
      length += part.length;
      if (length > limit) throw new WireRefusal({ kind: "bodyTooLarge", limit });
      yield part;
    }
  } finally {
    await letGo(payload, parts);
  }
}

/** Lets the caller of a body that was answered before its end come to the answer, unless too slowly. */
async function letGo(payload: Readable, parts: AsyncIterator<Buffer>): Promise<void> {
  if (payload.readableEnded || payload.destroyed) return;
  // Until then the rest would wait for somebody to ask for it.
  await Promise.race([parts.return?.(), new Promise(setImmediate)]);
  const timer = setTimeout(() => payload.destroy(), STALLED_MS);
  timer.unref();
  payload.once("close", () => clearTimeout(timer));
  dropRest(payload);
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
