import type { FastifyInstance } from "fastify";
import { WireRefusal } from "./wire-failure.ts";

const UTF8 = new TextDecoder("utf-8", { fatal: true });

/**
 * Lets the routes of this scope take JSON, and nothing else. An empty body is let through as
 * undefined: whether one is needed is for the route to say.
 */
export function takeJson(app: FastifyInstance): void {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    ["application/json", "application/merge-patch+json"],
    { parseAs: "buffer" },
    (_request, body, done) => {
      try {
        done(null, parseJson(body as Buffer));
      } catch (error) {
        done(error as Error);
      }
    },
  );
}

/**
 * The JSON value of a body or, as `what` says, of a part of it; undefined for an empty one.
 * @throws WireRefusal malformed
 */
export function parseJson(bytes: Uint8Array, what = "The body"): unknown {
  if (bytes.length === 0) return undefined;
  let text: string;
  try {
    text = UTF8.decode(bytes);
  } catch {
    throw malformed(`${what} is not UTF-8.`);
  }
  try {
    return JSON.parse(text) as unknown;
  } catch (error) {
    throw malformed(`${what} is not JSON: ${told(error)}.`);
  }
}

/** The runtime's own words, which say where; a long excerpt of the body is left out. */
function told(error: unknown): string {
  const message = error instanceof Error ? error.message : "it cannot be parsed";
  const [where] = /at position \d+/.exec(message) ?? [];
  return where !== undefined
    ? `what stands ${where} may not stand there`
    : message.startsWith("Unexpected end")
      ? "it ends before its value does"
      : "it has a character where none may stand";
}

function malformed(detail: string): WireRefusal {
  return new WireRefusal({ kind: "malformed", detail });
}
