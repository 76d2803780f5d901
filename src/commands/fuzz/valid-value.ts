import { type OpenDocument, resolve, type Schema } from "../document/open-document.ts";
import type { Dice } from "./dice.ts";

/** What values are made of. */
export interface Source {
  readonly document: OpenDocument;
  readonly dice: Dice;
  /** A text that shows whose it is. */
  readonly marker: string;
  /** The account's present, in milliseconds since 1970. */
  readonly now: number;
  /** An id for a field of that name; undefined where nothing is known that it could name. */
  idFor(field: string): string | undefined;
}

const DAY_MS = 86_400_000;
const DEEPEST = 6;

/** A value that the schema takes; undefined where a field had better be left out. */
export function validValue(schema: Schema, source: Source, field = "", depth = 0): unknown {
  const { dice } = source;
  const whole = resolve(source.document, schema);
  if (whole.const !== undefined) return whole.const;
  if (whole.enum !== undefined) return dice.pick(whole.enum);
  const choices = whole.anyOf ?? whole.oneOf;
  if (choices !== undefined) return validValue(dice.pick(choices), source, field, depth);
  if (whole.allOf?.[0] !== undefined) return validValue(whole.allOf[0], source, field, depth);
  const type = typeof whole.type === "string" ? whole.type : dice.pick(whole.type ?? ["string"]);
  switch (type) {
    case "object":
      return validObject(whole, source, field, depth);
    case "array":
      return validList(whole, source, field, depth);
    case "integer":
    case "number":
      return validNumber(whole, dice, type === "integer");
    case "boolean":
      return dice.chance(0.5);
    case "null":
      return null;
    default:
      return validText(whole, source, field);
  }
}

function validObject(schema: Schema, source: Source, field: string, depth: number): unknown {
  const made: Record<string, unknown> = {};
  const eager = depth === 0 ? 0.4 : 0.25;
  for (const [name, part] of Object.entries(schema.properties ?? {})) {
    const needed = schema.required?.includes(name) ?? false;
    if (!needed && (depth > DEEPEST || !source.dice.chance(eager))) continue;
    const value = validValue(part, source, name, depth + 1);
    if (value !== undefined) made[name] = value;
  }
  if (typeof schema.additionalProperties === "object" && source.dice.chance(0.5)) {
    const name = schema.propertyNames
      ? String(validValue(schema.propertyNames, source, field, depth + 1))
      : "other";
    made[name] = validValue(schema.additionalProperties, source, field, depth + 1);
  }
  return made;
}

function validList(schema: Schema, source: Source, field: string, depth: number): unknown {
  const least = schema.minItems ?? 0;
  const most = Math.min(schema.maxItems ?? 3, least + (depth > DEEPEST ? 0 : 2));
  const length = source.dice.between(least, Math.max(least, most));
  const items = Array.from({ length }, () =>
    validValue(schema.items ?? {}, source, field, depth + 1),
  ).filter((item) => item !== undefined);
  // Lists of names are sets nearly everywhere.
  return items.length < least
    ? undefined
    : [...new Map(items.map((one) => [JSON.stringify(one), one])).values()];
}

function validNumber(schema: Schema, dice: Dice, whole: boolean): number {
  const least = schema.minimum ?? (schema.exclusiveMinimum ?? -1000) + (whole ? 1 : 0.001);
  const most = schema.maximum ?? (schema.exclusiveMaximum ?? 1_000_000) - (whole ? 1 : 0.001);
  const edge = dice.below(10);
  if (edge === 0) return least;
  if (edge === 1) return most;
  // Most numbers of this trade are small.
  const top = Math.min(most, least + dice.pick([10, 100, 5000]));
  const value = least + dice.fraction() * (top - least);
  return whole ? Math.round(value) : Math.min(most, Math.max(least, Math.round(value * 100) / 100));
}

function validText(schema: Schema, source: Source, field: string): string | undefined {
  const { dice, marker, now } = source;
  const at = now - dice.below(60) * DAY_MS - dice.below(DAY_MS);
  switch (schema.format) {
    case "uuid":
      return source.idFor(field);
    case "date-time":
      return new Date(at).toISOString();
    case "date":
      return new Date(at).toISOString().slice(0, 10);
    case "email":
      return `${marker}.${dice.below(1e9)}@example.org`;
    case "uri":
      return `https://hooks.example.org/${marker}/${dice.below(1e6)}`;
  }
  if (field === "externalId") return `${marker} ${dice.below(1e9)}`;
  if (typeof schema.example === "string" && dice.chance(0.9)) return schema.example;
  if (schema.pattern !== undefined)
    return typeof schema.example === "string" ? schema.example : "1";
  const text = dice.pick([marker, `${marker} Größe № ${dice.below(1000)}`, `${marker} 🛠 'x' <b>`]);
  const longest = schema.maxLength ?? 200;
  return text.length > longest ? text.slice(0, longest).trim() : text;
}
