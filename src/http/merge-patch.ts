import { isJsonObject, type Json } from "./json.ts";

/**
 * Applies a JSON Merge Patch (RFC 7396, section 2): members of the patch replace those of the
 * target, null takes one away, and anything but an object replaces the whole.
 */
export function mergePatch(target: Json, patch: Json): Json {
  if (!isJsonObject(patch)) return patch;
  const merged = new Map(Object.entries(isJsonObject(target) ? target : {}));
  for (const [name, value] of Object.entries(patch)) {
    if (value === null) merged.delete(name);
    else merged.set(name, mergePatch(merged.get(name) ?? null, value));
  }
  return Object.fromEntries(merged);
}
