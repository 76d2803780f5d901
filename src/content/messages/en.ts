import { digest } from "./en/digest.ts";
import { due } from "./en/due.ts";
import { mail } from "./en/mail.ts";
import { pages } from "./en/pages.ts";
import { records } from "./en/records.ts";

/**
 * What people read, in ICU message syntax: mail, pages, print and charts. Every language carries
 * the same keys. A place in braces is filled with text that is ready to be shown.
 */
export const en = { ...due, ...mail, ...digest, ...pages, ...records } as const;
