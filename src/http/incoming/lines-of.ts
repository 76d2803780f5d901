import type { Hash } from "node:crypto";
import { WireRefusal } from "../wire-failure.ts";

/** Bytes that one line may have: a message with its attachments is the longest. */
const LONGEST = 16 * 1024 * 1024;
const NEWLINE = 0x0a;

/**
 * The lines of a body as they come, without their ends; its bytes go into the hash.
 * @throws WireRefusal malformed where a line never ends
 */
export async function* linesOf(bytes: AsyncIterable<Buffer>, hash: Hash): AsyncGenerator<Buffer> {
  let parts: Buffer[] = [];
  let length = 0;
  for await (const chunk of bytes) {
    hash.update(chunk);
    let from = 0;
    for (let to = chunk.indexOf(NEWLINE); to >= 0; to = chunk.indexOf(NEWLINE, from)) {
      yield Buffer.concat([...parts, chunk.subarray(from, to)]);
      parts = [];
      length = 0;
      from = to + 1;
    }
    parts.push(chunk.subarray(from));
    length += chunk.length - from;
    if (length > LONGEST) {
      const detail = `A line has more than ${LONGEST} bytes.`;
      throw new WireRefusal({ kind: "malformed", detail });
    }
  }
  if (length > 0) yield Buffer.concat(parts);
}
