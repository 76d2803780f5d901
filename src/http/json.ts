/** What JSON can hold (RFC 8259). */
export type Json = null | boolean | number | string | readonly Json[] | JsonObject;

export interface JsonObject {
  readonly [name: string]: Json;
}

export function isJsonObject(value: unknown): value is JsonObject {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** One text for every way in which the same value can be written: names sorted, no spaces. */
export function canonicalJson(value: unknown): string {
  return JSON.stringify(value, (_name, part: unknown) =>
    isJsonObject(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
}
