import { html, raw } from "hono/html";

/** Markup that is safe to send: every value in it was escaped when it was put in. */
export type Markup = ReturnType<typeof raw>;

type Value = string | number | false | null | undefined | Markup | readonly Value[];

/** A template whose values are escaped, attributes too; markup nests, lists are joined. */
export function markup(strings: TemplateStringsArray, ...values: Value[]): Markup {
  const made = html(strings, ...values);
  if (made instanceof Promise) throw new TypeError("Markup is made at once, never awaited.");
  return made;
}

/** Text that is markup by our own making: style sheets, entities, drawings. Never from outside. */
export { raw as trusted };

/** A link's address, kept to http and https; anything else leads nowhere. */
export function href(url: string): string {
  try {
    const parsed = new URL(url);
    return parsed.protocol === "https:" || parsed.protocol === "http:" ? parsed.href : "#";
  } catch {
    return "#";
  }
}
