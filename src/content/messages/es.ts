import { digest } from "./es/digest.ts";
import { due } from "./es/due.ts";
import { mail } from "./es/mail.ts";
import { pages } from "./es/pages.ts";
import { records } from "./es/records.ts";
import type { Messages } from "./message-key.ts";

/** Spanish, with "usted", in words that are understood on both sides of the Atlantic. */
export const es: Messages = { ...due, ...mail, ...digest, ...pages, ...records };
