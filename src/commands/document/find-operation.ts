import type { Operation } from "./open-document.ts";

const patterns = new Map<string, RegExp>();

/**
 * The operation at a method and a path as it was asked for. HEAD is answered as GET is. A path that
 * is literally there goes before one with a parameter.
 */
export function findOperation(
  operations: readonly Operation[],
  method: string,
  path: string,
): Operation | undefined {
  const asked = decoded(path);
  const wanted = method === "HEAD" ? "GET" : method;
  return operations
    .filter((one) => one.method === wanted && patternOf(one.path).test(asked))
    .sort((a, b) => parametersIn(a.path) - parametersIn(b.path))[0];
}

/** The values of a path's parameters, by name; undefined where it is not that path. */
export function readPath(template: string, path: string): Record<string, string> | undefined {
  return patternOf(template).exec(path)?.groups;
}

function patternOf(template: string): RegExp {
  const known = patterns.get(template);
  if (known !== undefined) return known;
  const parts = template.split(/\{(\w+)\}/);
  const source = parts.map((part, index) =>
    index % 2 === 0 ? part.replaceAll(/[.*+?^$()|[\]\\]/g, "\\$&") : `(?<${part}>[^/]+?)`,
  );
  const pattern = new RegExp(`^${source.join("")}$`, "s");
  patterns.set(template, pattern);
  return pattern;
}

const parametersIn = (path: string): number => path.split("{").length - 1;

/** Each step as the server reads it; a slash that was written %2F is no divider. */
function decoded(path: string): string {
  try {
    return path.split("/").map(decodeURI).join("/");
  } catch {
    return path;
  }
}
