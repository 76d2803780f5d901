import { z } from "zod";
import type { Json, JsonObject } from "./json.ts";
import { mergePatch } from "./merge-patch.ts";
import { requireBody } from "./read-request.ts";

/** What the description shows of a schema that lets more through than it tells. */
const shownAs = new WeakMap<z.ZodType, z.ZodType>();

export function shownSchema(schema: z.ZodType): z.ZodType {
  return shownAs.get(schema) ?? schema;
}

/**
 * The body schema of a `PATCH`, made of the full body's. It holds a patch to the names that the full
 * body has; whether the values are right only shows in what `applyPatch` makes of them, since a
 * part of a value may rightly be given alone.
 */
export function patchOf(full: z.ZodObject): z.ZodType<JsonObject> {
  const names = Object.fromEntries(Object.keys(full.shape).map((name) => [name, z.json()]));
  const schema = z.strictObject(names).partial();
  shownAs.set(schema, patched(full));
  return schema as unknown as z.ZodType<JsonObject>;
}

/**
 * The whole that a patch makes of what is stored, checked as a full body is.
 * @param current what is stored, as a caller would write it: only what the full body holds
 * @throws Refusal invalid, with pointers as they stand in the patch
 */
export function applyPatch<S extends z.ZodType>(full: S, current: Json, patch: Json): z.output<S> {
  return requireBody(full, mergePatch(current, patch));
}

/** Every member optional and removable, in objects within objects too. */
function patched(object: z.ZodObject): z.ZodObject {
  const shape: Record<string, z.ZodType> = object.shape;
  return z.strictObject(
    Object.fromEntries(
      Object.entries(shape).map(([name, field]) => {
        const { description } = z.globalRegistry.get(field) ?? {};
        const shown = patchedField(field).nullable().optional();
        return [name, description === undefined ? shown : shown.meta({ description })];
      }),
    ),
  );
}

function patchedField(field: z.ZodType): z.ZodType {
  const inner = bare(field);
  if (inner instanceof z.ZodObject) return patched(inner);
  if (!(inner instanceof z.ZodUnion)) return inner;
  return z.union((inner.options as z.ZodType[]).map(patchedField));
}

/** A field's schema without its default, which a patch does not fill in. */
function bare(schema: z.ZodType): z.ZodType {
  return schema instanceof z.ZodOptional ||
    schema instanceof z.ZodNullable ||
    schema instanceof z.ZodDefault ||
    schema instanceof z.ZodPrefault
    ? bare(schema.unwrap() as z.ZodType)
    : schema;
}
