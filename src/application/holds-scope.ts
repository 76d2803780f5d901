import type { Caller } from "./caller.ts";
import type { Scope } from "./records.ts";

/** `write` includes `readings:write`; otherwise no scope includes another. */
export function holdsScope(caller: Pick<Caller, "scopes">, scope: Scope): boolean {
  return (
    caller.scopes.includes(scope) || (scope === "readings:write" && caller.scopes.includes("write"))
  );
}
