import type { z } from "zod";
import { namesKnownAt } from "./known-names.ts";

/** A fault as a schema finds it: where, by the steps from the root, and what would be right. */
export interface SchemaFault {
  readonly steps: readonly (string | number)[];
  readonly detail: string;
}

type Issue = z.core.$ZodIssue;

/** Whoever has so many to mend can ask again for the rest; to tell of millions would fill the memory. */
export const MOST_FAULTS = 1000;

/** The faults of a value against its schema, in sentences that say what would be right: the first thousand. */
export function faultsOf(error: z.ZodError, schema: z.ZodType, value: unknown): SchemaFault[] {
  const faults: SchemaFault[] = [];
  for (const issue of error.issues) {
    faults.push(...told(issue, [], schema, value));
    if (faults.length >= MOST_FAULTS) return faults.slice(0, MOST_FAULTS);
  }
  return faults;
}

function told(
  issue: Issue,
  above: SchemaFault["steps"],
  schema: z.ZodType,
  root: unknown,
): SchemaFault[] {
  const steps = [
    ...above,
    ...issue.path.map((step) => (typeof step === "number" ? step : String(step))),
  ];
  switch (issue.code) {
    case "unrecognized_keys":
      return issue.keys.slice(0, MOST_FAULTS).map((key) => ({
        steps: [...steps, key],
        detail: unknownName(schema, steps),
      }));
    case "invalid_union":
      return toldUnion(issue, steps, schema, root);
    case "invalid_key":
      return issue.issues.flatMap((inner) => [{ steps, detail: detailOf(inner, steps, root) }]);
    case "invalid_element":
      return issue.issues.flatMap((inner) => told(inner, steps, schema, root));
    default:
      return [{ steps, detail: detailOf(issue, steps, root) }];
  }
}

function unknownName(schema: z.ZodType, steps: SchemaFault["steps"]): string {
  const known = namesKnownAt(schema, steps);
  return known.length === 0
    ? "is not known here; nothing is taken in this place"
    : `is not known here; known are ${known.join(", ")}`;
}

/** Of several forms that were possible, the one that came nearest: whose faults lie deepest, then fewest. */
function toldUnion(
  issue: z.core.$ZodIssueInvalidUnion,
  steps: SchemaFault["steps"],
  schema: z.ZodType,
  root: unknown,
): SchemaFault[] {
  const forms = issue.errors.map((errors) =>
    errors.flatMap((inner) => told(inner, steps, schema, root)),
  );
  const wrongKind = forms.filter((form) =>
    form.every((fault) => fault.steps.length === steps.length),
  );
  if (
    forms.length === 0 ||
    (wrongKind.length === forms.length && valueAt(root, steps) !== undefined)
  ) {
    const ways = [
      ...new Set(wrongKind.flat().map(({ detail }) => detail.replace(/^must be /, ""))),
    ];
    const detail = ways.length > 0 ? `must be ${ways.join(", or ")}` : issue.message;
    return [{ steps, detail }];
  }
  const depth = (form: SchemaFault[]) => Math.max(0, ...form.map((fault) => fault.steps.length));
  const [nearest = []] = forms.toSorted((a, b) => depth(b) - depth(a) || a.length - b.length);
  return nearest;
}

function detailOf(issue: Issue, steps: SchemaFault["steps"], root: unknown): string {
  // A schema of ours that says it better has put its own sentence into the message.
  const words = DEFAULT_WORDS.test(issue.message) ? wordsFor(issue) : issue.message;
  const missing = valueAt(root, steps) === undefined;
  return missing && issue.code !== "custom" ? `is required; ${words}` : words;
}

/** How every message begins that the schema library makes of itself. */
const DEFAULT_WORDS = /^(Invalid|Too (small|big)|Unrecognized|Expected|Required)/;

function wordsFor(issue: Issue): string {
  switch (issue.code) {
    case "invalid_type":
      return `must be ${KIND_WORDS[issue.expected] ?? `a ${issue.expected}`}`;
    case "invalid_value":
      return `must be ${issue.values.length > 1 ? "one of " : ""}${issue.values.map(String).join(", ")}`;
    case "too_small":
      return `must ${bound(issue.origin, "least", issue.minimum, issue.inclusive ?? true)}`;
    case "too_big":
      return `must ${bound(issue.origin, "most", issue.maximum, issue.inclusive ?? true)}`;
    case "not_multiple_of":
      return `must be a multiple of ${issue.divisor}`;
    case "invalid_format":
      return `must be written as ${FORMAT_WORDS[issue.format] ?? issue.format}`;
    default:
      return issue.message;
  }
}

const KIND_WORDS: Readonly<Record<string, string>> = {
  int: "a whole number",
  object: "an object",
  array: "a list",
  boolean: "true or false",
  null: "null",
  string: "a text",
  record: "an object",
  undefined: "left out",
};

const FORMAT_WORDS: Readonly<Record<string, string>> = {
  uuid: "a UUID",
  email: "an email address, such as name@example.org",
  url: "an absolute URL",
  regex: "its pattern in the description says",
};

function bound(
  origin: string,
  side: "least" | "most",
  limit: number | bigint,
  inclusive: boolean,
): string {
  if (origin === "string") return `have at ${side} ${plural(limit, "character")}`;
  if (origin === "array" || origin === "set") return `have at ${side} ${plural(limit, "item")}`;
  if (inclusive) return `be at ${side} ${limit}`;
  return side === "least" ? `be more than ${limit}` : `be less than ${limit}`;
}

function plural(n: number | bigint, noun: string): string {
  return `${n} ${noun}${Number(n) === 1 ? "" : "s"}`;
}

function valueAt(root: unknown, steps: SchemaFault["steps"]): unknown {
  let value = root;
  for (const step of steps) {
    if (typeof value !== "object" || value === null || !Object.hasOwn(value, step))
      return undefined;
    value = (value as Record<string | number, unknown>)[step];
  }
  return value;
}
