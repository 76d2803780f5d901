import { type Media, resolve, type Schema } from "../document/open-document.ts";
import { type Source, validValue } from "./valid-value.ts";

/**
 * The example of the document, about things that are there: ids are replaced by known ones, or left
 * out; some other fields of the schema are added.
 */
export function fromExample({ example, schema = {} }: Media, source: Source): unknown {
  const made = withKnownIds(example, resolve(source.document, schema), source, "");
  const { properties = {} } = resolve(source.document, schema);
  const fields = Object.entries(properties);
  if (typeof made !== "object" || made === null || fields.length === 0) return made;
  if (source.dice.chance(0.4)) return made;
  const [name, part] = source.dice.pick(fields);
  const value = validValue(part, source, name, 1);
  return value === undefined || value === null ? made : { ...made, [name]: value };
}

function withKnownIds(value: unknown, schema: Schema, source: Source, field: string): unknown {
  const whole = resolve(source.document, schema);
  if (Array.isArray(value)) {
    return value
      .map((item) => withKnownIds(item, whole.items ?? {}, source, field))
      .filter((item) => item !== undefined);
  }
  if (typeof value === "object" && value !== null) {
    const parts = Object.entries(value).map(([name, part]) => [
      name,
      withKnownIds(part, whole.properties?.[name] ?? {}, source, name),
    ]);
    return Object.fromEntries(parts.filter(([, part]) => part !== undefined));
  }
  if (typeof value !== "string") return value;
  if (/^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/.test(value)) return source.idFor(field);
  if (field === "externalId") return `${source.marker} ${source.dice.below(1e9)}`;
  if (field === "email") return `${source.marker}.${source.dice.below(1e9)}@example.org`;
  if (field === "name" && source.dice.chance(0.7)) return `${value} ${source.marker}`;
  return value;
}
