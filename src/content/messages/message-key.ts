import type { en } from "./en.ts";

export type MessageKey = keyof typeof en;

/**
 * All texts of one language: the same keys as English, each in ICU message syntax. A text may also
 * ask for `role`, the place that a date stands in, where its grammar needs it.
 */
export type Messages = Readonly<Record<MessageKey, string>>;

/** A part of the texts in another language: the same keys as the English part. */
export type Texts<Part> = Readonly<Record<keyof Part, string>>;
