import { IntlMessageFormat } from "intl-messageformat";
import { CATALOGUES, type Catalogue, type MessageKey } from "../content/messages/catalogue.ts";
import type { PlainDate } from "../domain/calendar/plain-date.ts";
import { type DateWriter, dateWriter } from "./date-writer.ts";

/** How fine a date is told. */
export type Grain =
  | "day"
  | "dayYear"
  | "month"
  | "year"
  | "tick"
  | "short"
  | "shortYear"
  | "shortMonth";

/** The texts, dates and figures of one reader's language. */
export interface Wording {
  /** The language that is really used, for `lang` attributes. */
  readonly locale: string;
  /** @throws where the message asks for a value that is not given. */
  say(key: MessageKey, values?: Readonly<Record<string, string | number>>): string;
  number(value: number, mostDigits?: number): string;
  /** Figures that are measured keep the digits that they were given with, at least `digits`. */
  measure(value: number, digits: number): string;
  percent(share: number): string;
  /** "1,000 km or 3 months". */
  either(one: string, other: string): string;
  date(date: PlainDate, grain: Grain): string;
  /** "12–30 May", as the language writes a range. */
  span(from: PlainDate, to: PlainDate, grain: Grain): string;
  /** Both ends as the language writes them in a range: "12" and "30 May". */
  ends(from: PlainDate, to: PlainDate, grain: Grain): [from: string, to: string];
}

const GRAINS: Record<Grain, Intl.DateTimeFormatOptions> = {
  day: { day: "numeric", month: "long" },
  dayYear: { day: "numeric", month: "long", year: "numeric" },
  month: { month: "long", year: "numeric" },
  year: { year: "numeric" },
  tick: { month: "short" },
  short: { day: "numeric", month: "short" },
  shortYear: { day: "numeric", month: "short", year: "numeric" },
  shortMonth: { month: "short", year: "numeric" },
};

const known = new Map<string, Wording>();

/**
 * The wording for a BCP 47 locale. A language without a catalogue is told in English, dates and
 * figures too, so that one page never mixes two.
 */
export function wordingFor(locale: string): Wording {
  const { name, catalogue } = resolve(locale);
  let wording = known.get(name);
  if (!wording) {
    wording = make(name, catalogue);
    known.set(name, wording);
  }
  return wording;
}

function resolve(locale: string): { name: string; catalogue: Catalogue } {
  const english = CATALOGUES.get("en") as Catalogue;
  try {
    const { language, region } = new Intl.Locale(locale);
    const catalogue = CATALOGUES.get(language);
    if (catalogue) return { name: `${language}-${region ?? catalogue.region}`, catalogue };
  } catch {
    // A stored locale that this runtime cannot read must not keep a reminder from being sent.
  }
  return { name: `en-${english.region}`, catalogue: english };
}

function make(locale: string, { messages }: Catalogue): Wording {
  const formats = new Map<MessageKey, IntlMessageFormat>();
  const say: Wording["say"] = (key, values = {}) => {
    let format = formats.get(key);
    if (!format) {
      format = new IntlMessageFormat(messages[key], locale, undefined, { ignoreTag: true });
      formats.set(key, format);
    }
    return String(format.format(values));
  };
  const dayOf = (day: number) => say("date.dayOfMonth", { day });
  const writers = new Map(
    Object.entries(GRAINS).map(([grain, options]) => [grain, dateWriter(locale, options, dayOf)]),
  );
  const dates = (grain: Grain) => writers.get(grain) as DateWriter;
  const figures = new Map<number, Intl.NumberFormat>();
  const number: Wording["number"] = (value, mostDigits = 0) => {
    let format = figures.get(mostDigits);
    if (!format) {
      format = new Intl.NumberFormat(locale, { maximumFractionDigits: mostDigits });
      figures.set(mostDigits, format);
    }
    return format.format(value);
  };
  const alternative = new Intl.ListFormat(locale, { type: "disjunction" });
  return {
    locale,
    say,
    number,
    measure: (value, digits) =>
      new Intl.NumberFormat(locale, {
        minimumFractionDigits: digits,
        maximumFractionDigits: Math.max(digits, 4),
      }).format(value),
    percent: (share) => new Intl.NumberFormat(locale, { style: "percent" }).format(share),
    either: (one, other) => alternative.format([one, other]),
    date: (date, grain) => dates(grain).one(date),
    span: (from, to, grain) => dates(grain).span(from, to),
    ends: (from, to, grain) => dates(grain).ends(from, to),
  };
}
