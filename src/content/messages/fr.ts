import { digest } from "./fr/digest.ts";
import { due } from "./fr/due.ts";
import { mail } from "./fr/mail.ts";
import { pages } from "./fr/pages.ts";
import { records } from "./fr/records.ts";
import { withFrenchSpaces } from "./french-spaces.ts";
import type { Messages } from "./message-key.ts";

/** French, with "vous". */
export const fr: Messages = withFrenchSpaces({ ...due, ...mail, ...digest, ...pages, ...records });
