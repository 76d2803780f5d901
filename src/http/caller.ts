import type { Caller } from "../application/caller.ts";
import type { Scope } from "../application/records.ts";

export type { Caller, Scope };

/** `write` includes `readings:write`; otherwise no scope includes another. */
export function holdsScope(caller: Caller, scope: Scope): boolean {
  return (
    caller.scopes.includes(scope) || (scope === "readings:write" && caller.scopes.includes("write"))
  );
}
