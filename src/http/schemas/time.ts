import { z } from "zod";
import { isPlainDate } from "../../domain/calendar/plain-date.ts";
import { isTimeZone } from "../../domain/calendar/zone.ts";

const RFC_3339 =
  /^(\d{4}-\d{2}-\d{2})[Tt]([01]\d|2[0-3]):([0-5]\d):([0-5]\d|60)(?:\.(\d+))?([Zz]|[+-](?:[01]\d|2[0-3]):[0-5]\d)$/;
const EARLIEST = Date.parse("0001-01-01T00:00:00Z");
const LATEST = Date.parse("9999-12-31T23:59:59.999Z");
const MS_PER_MINUTE = 60_000;
const INSTANT_WORDS =
  "must be an instant with its offset (RFC 3339), such as 2026-05-01T08:00:00Z, in years 0001 to 9999";
/** An offset whose plus sign was read as a space, as it is in an address. */
const PLUS_LOST = /:\d\d(?:\.\d+)? \d\d:\d\d$/;
const PLUS_WORDS = "must be an instant with its offset; in an address + is written %2B";
const DATE_WORDS = "must be a date that exists, such as 2026-05-01, in years 0001 to 9999";

/**
 * Milliseconds since 1970-01-01T00:00:00Z of an RFC 3339 text, or null. Digits beyond the millisecond
 * are dropped. A leap second is one only at 23:59:60 UTC, and is taken as the second before it.
 */
export function parseInstant(text: string): number | null {
  const [, date = "", hour, minute, second, fraction = "", offset = ""] = RFC_3339.exec(text) ?? [];
  if (!isPlainDate(date)) return null;
  const leap = second === "60";
  const local = Date.parse(`${date}T${hour}:${minute}:${leap ? "59" : second}Z`);
  const whole = local - offsetMs(offset);
  if (leap && whole % 86_400_000 !== 86_399_000 && whole % 86_400_000 !== -1000) return null;
  const instant = whole + Number(fraction.slice(0, 3).padEnd(3, "0"));
  return instant >= EARLIEST && instant <= LATEST ? instant : null;
}

function instantWords(text: string): string {
  return PLUS_LOST.test(text) ? PLUS_WORDS : INSTANT_WORDS;
}

/** How instants go out: RFC 3339 in UTC, to the millisecond. */
export function instantText(instant: number): string {
  return new Date(instant).toISOString();
}

function offsetMs(offset: string): number {
  if (/^z$/i.test(offset)) return 0;
  const minutes = Number(offset.slice(1, 3)) * 60 + Number(offset.slice(4, 6));
  return (offset.startsWith("-") ? -minutes : minutes) * MS_PER_MINUTE;
}

const INSTANT_META = {
  override: { type: "string", format: "date-time" },
  example: "2026-05-01T08:00:00Z",
} as const;

/** Taken as RFC 3339, made milliseconds; in an answer, written by `instantText`. */
export const instant = z
  .string(INSTANT_WORDS)
  .transform((text, context) => {
    const parsed = parseInstant(text);
    if (parsed !== null) return parsed;
    context.addIssue({ code: "custom", message: instantWords(text) });
    return z.NEVER;
  })
  .meta(INSTANT_META);

const LAST_CLOCK = Date.UTC(9000, 0);

/** What a sandbox's clock may show: dates end with the year 9999, and plans reach years ahead. */
export const clockTime = instant
  .refine((at) => at < LAST_CLOCK, "must lie before the year 9000")
  .meta(INSTANT_META);

export const plainDate = z
  .string(DATE_WORDS)
  .refine(isPlainDate, DATE_WORDS)
  .meta({ format: "date", example: "2026-05-01" });

/** An instant or a plain date: made `{ instant }` or `{ date }`. */
export const instantOrDate = z
  .string(`${INSTANT_WORDS}; or a plain date`)
  .transform((text, context): { instant: number } | { date: string } => {
    if (isPlainDate(text)) return { date: text };
    const parsed = parseInstant(text);
    if (parsed !== null) return { instant: parsed };
    context.addIssue({ code: "custom", message: `${instantWords(text)}; or a plain date` });
    return z.NEVER;
  })
  .meta({
    override: {
      type: "string",
      description: "An instant (RFC 3339), or a plain date in the responsible member's zone.",
    },
    example: "2026-05-01T08:00:00Z",
  });

export const timeZone = z
  .string()
  .refine(isTimeZone, "must be a time zone's IANA name, such as Europe/Berlin")
  .meta({ example: "Europe/Berlin", description: "IANA name of a time zone." });
