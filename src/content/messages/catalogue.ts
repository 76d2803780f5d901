import { en } from "./en.ts";

export type MessageKey = keyof typeof en;

/** All texts of one language: the same keys as English, each in ICU message syntax. */
export type Messages = Readonly<Record<MessageKey, string>>;

/** A language and the region whose habits of dates and figures it takes where none is named. */
export interface Catalogue {
  messages: Messages;
  region: string;
}

/** The languages that texts stand in, by their BCP 47 primary subtag. English is the last resort. */
export const CATALOGUES: ReadonlyMap<string, Catalogue> = new Map([
  ["en", { messages: en, region: "GB" }],
]);
