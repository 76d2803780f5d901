import { digest } from "./de/digest.ts";
import { due } from "./de/due.ts";
import { mail } from "./de/mail.ts";
import { pages } from "./de/pages.ts";
import { records } from "./de/records.ts";
import type { Messages } from "./message-key.ts";

/** German, in the polite form. */
export const de: Messages = { ...due, ...mail, ...digest, ...pages, ...records };
