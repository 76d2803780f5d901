import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { redocly } from "../../../src/commands/redocly.ts";
import type { Json } from "../../support/client.ts";

interface Change {
  path: string;
  impact: "major" | "minor" | "patch";
  verdicts: { message: string }[];
}

/**
 * What a client that was written by the earlier document can no longer rely on, a line each. New
 * operations, optional parameters and fields in answers break nothing: clients pass over what they
 * do not know.
 */
export async function whatBreaks(earlier: Json, later: Json): Promise<string[]> {
  const folder = await mkdtemp(join(tmpdir(), "documents-"));
  try {
    const files = [join(folder, "earlier.json"), join(folder, "later.json")] as const;
    await writeFile(files[0], JSON.stringify(foldNulls(byName(earlier))));
    await writeFile(files[1], JSON.stringify(foldNulls(byName(later))));
    const stdout = await redocly(["diff", ...files, "--format=json", "--fail-on=none"]);
    const { changes } = JSON.parse(stdout) as { changes: Change[] };
    return [
      ...changes.filter(({ impact }) => impact === "major").map(told),
      ...gone(earlier, later),
    ];
  } finally {
    await rm(folder, { recursive: true });
  }
}

function told({ path, verdicts }: Change): string {
  return `${path}: ${verdicts.map(({ message }) => message).join(" ")}`;
}

/** Parameters are compared by where they stand in their list: each gets a name instead. */
function byName(document: Json): Json {
  const named = structuredClone(document);
  const parameters: Record<string, Json> = {};
  for (const { operationId, ...operation } of operationsOf(named)) {
    operation.parameters?.forEach((one: Json, index: number) => {
      const name = `${operationId}.${one.in}.${one.name}`;
      parameters[name] = one;
      operation.parameters[index] = { $ref: `#/components/parameters/${name}` };
    });
  }
  named.components.parameters = parameters;
  return named;
}

/**
 * "This or null" is written as one schema with two types: as an `anyOf` that was not there before the
 * comparison would take it for a condition more, in what is sent too, where it is one less.
 */
function foldNulls(value: Json): Json {
  if (Array.isArray(value)) return value.map(foldNulls);
  if (typeof value !== "object" || value === null) return value;
  const folded = Object.fromEntries(
    Object.entries(value).map(([name, part]) => [name, foldNulls(part)]),
  ) as Json;
  const [other, nothing] = Array.isArray(folded.anyOf) ? folded.anyOf : [];
  const isOrNull = folded.anyOf?.length === 2 && nothing?.type === "null";
  if (!isOrNull || typeof other.type !== "string") return folded;
  const { anyOf: _anyOf, ...around } = folded;
  const values = other.enum && { enum: [...other.enum, null] };
  return { ...around, ...other, ...values, type: [other.type, "null"] };
}

export function operationsOf(document: Json): Json[] {
  return Object.values<Json>(document.paths).flatMap((item) => Object.values<Json>(item));
}

/** Types of problem that no operation answers any more: clients tell refusals apart by them. */
function gone(earlier: Json, later: Json): string[] {
  const kept = problemTypes(later);
  return [...problemTypes(earlier)]
    .filter((type) => !kept.has(type))
    .map((type) => `The problem ${type} is gone.`);
}

function problemTypes(document: Json): Set<string> {
  const examples = Object.values<Json>(document.components.responses).flatMap(({ content }) =>
    Object.values<Json>(content?.["application/problem+json"]?.examples ?? {}),
  );
  return new Set(examples.map(({ value }) => new URL(value.type).pathname));
}
