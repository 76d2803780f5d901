import { de } from "./de.ts";
import { en } from "./en.ts";
import { es } from "./es.ts";
import { fr } from "./fr.ts";
import type { Messages } from "./message-key.ts";

export type { MessageKey, Messages } from "./message-key.ts";

/** A language and the region whose habits of dates and figures it takes where none is named. */
export interface Catalogue {
  messages: Messages;
  region: string;
}

/** The languages that texts stand in, by their BCP 47 primary subtag. English is the last resort. */
export const CATALOGUES: ReadonlyMap<string, Catalogue> = new Map([
  ["en", { messages: en, region: "GB" }],
  ["de", { messages: de, region: "DE" }],
  ["es", { messages: es, region: "ES" }],
  ["fr", { messages: fr, region: "FR" }],
]);
