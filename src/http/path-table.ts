import type { Method, Route } from "./route.ts";

/** The methods that a path takes, or null where there is no such path. */
export type PathTable = (path: string) => readonly string[] | null;

/** Which methods each path takes, HEAD and OPTIONS with them; a literal step goes before a parameter. */
export function pathTable(routes: readonly Route<never>[]): PathTable {
  const methods = new Map<string, Set<Method>>();
  for (const { path, method } of routes) {
    methods.set(path, (methods.get(path) ?? new Set()).add(method));
  }
  const rows = [...methods]
    .map(([path, taken]) => ({ path, shape: shapeOf(path), taken }))
    .sort((one, other) => (sortKey(one.path) < sortKey(other.path) ? -1 : 1));
  return (path) => {
    const row = rows.find(({ shape }) => shape.test(path));
    return row === undefined ? null : allowed(row.taken);
  };
}

function allowed(taken: ReadonlySet<Method>): string[] {
  const head = taken.has("GET") ? ["HEAD"] : [];
  return [...taken, ...head, "OPTIONS"].sort();
}

function shapeOf(path: string): RegExp {
  const literal = path.replaceAll(/[.*+?^$()|[\]\\]/g, "\\$&");
  return new RegExp(`^${literal.replaceAll(/\{\w+\}/g, "[^/]+")}$`);
}

/** Sorts a parameter behind every literal. */
function sortKey(path: string): string {
  return path.replaceAll(/\{\w+\}/g, "\uffff");
}
