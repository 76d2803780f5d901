import type { ExpectedVersion } from "../domain/failure/expected-version.ts";

/** The strong entity tag of a stored row, made of its version. */
export function entityTag(version: number): string {
  return `"${version}"`;
}

/** Strong comparison, RFC 9110 section 8.8.3.2: equal, and neither is weak. */
export function strongMatch(one: string, other: string): boolean {
  return one === other && !isWeak(one);
}

/** Weak comparison, RFC 9110 section 8.8.3.2: the opaque parts are equal. */
export function weakMatch(one: string, other: string): boolean {
  return opaque(one) === opaque(other);
}

/**
 * The entity tags of an `If-Match` or `If-None-Match` field; text that is none is dropped, and so
 * can only fail to match.
 */
function entityTags(field: string): "any" | readonly string[] {
  if (field.trim() === "*") return "any";
  return field.match(/(?:W\/)?"[\x21\x23-\x7e\x80-\xff]*"/g) ?? [];
}

/** What an `If-Match` field expects; only strong tags that look like ours can name a version. */
export function expectedVersion(ifMatch: string): ExpectedVersion {
  const tags = entityTags(ifMatch);
  if (tags === "any") return "any";
  return tags.flatMap((tag) =>
    /^"(?:0|[1-9]\d{0,14})"$/.test(tag) ? [Number(tag.slice(1, -1))] : [],
  );
}

/** Whether an `If-Match` field names this tag, by strong comparison. */
export function isNamed(ifMatch: string, tag: string): boolean {
  const tags = entityTags(ifMatch);
  return tags === "any" || tags.some((named) => strongMatch(named, tag));
}

/** Whether an `If-None-Match` field names this tag: then the caller has it already. */
export function isKnown(ifNoneMatch: string, tag: string): boolean {
  const tags = entityTags(ifNoneMatch);
  return tags === "any" || tags.some((known) => weakMatch(known, tag));
}

function isWeak(tag: string): boolean {
  return tag.startsWith("W/");
}

function opaque(tag: string): string {
  return isWeak(tag) ? tag.slice(2) : tag;
}
