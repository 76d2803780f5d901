import { isoWeeksIn, isoYearStart } from "./iso-week.ts";
import { addDays, dayNumber, isoWeekday, type PlainDate } from "./plain-date.ts";

/**
 * What a tyre's date code says. `countedBy` tells how the week was found: as the regulation counts,
 * as ISO 8601 counts (a week 53 that the regulation's year lacks), or as the last week of a year
 * that has 52 under both.
 */
export type TyreCode =
  | { state: "week"; from: PlainDate; to: PlainDate; countedBy: "regulation" | "iso" | "lastWeek" }
  | { state: "refused"; reason: "notFourDigits" | "decadeUnknown" | "noSuchWeek" };

/**
 * Reads the four digits of a tyre's date code, week then year ("2421" is week 24 of 2021), as
 * 49 CFR 574.5(b)(3) counts: week 01 is the first full week from Sunday to Saturday, which is not
 * the ISO week. Three digits (before 2000) name no decade and are refused. To be safe an age is
 * counted from `from`, the first day on which the tyre can have been made.
 */
export function readTyreCode(code: string): TyreCode {
  if (/^\d{3}$/.test(code)) return { state: "refused", reason: "decadeUnknown" };
  if (!/^\d{4}$/.test(code)) return { state: "refused", reason: "notFourDigits" };
  const week = Number(code.slice(0, 2));
  const year = 2000 + Number(code.slice(2));
  if (week < 1 || week > 53) return { state: "refused", reason: "noSuchWeek" };
  if (week <= regulationWeeksIn(year))
    return weekFrom(regulationYearStart(year), week, "regulation");
  if (week <= isoWeeksIn(year)) return weekFrom(isoYearStart(year), week, "iso");
  return weekFrom(regulationYearStart(year), regulationWeeksIn(year), "lastWeek");
}

function weekFrom(
  yearStart: PlainDate,
  week: number,
  countedBy: "regulation" | "iso" | "lastWeek",
): TyreCode {
  const from = addDays(yearStart, 7 * (week - 1));
  return { state: "week", from, to: addDays(from, 6), countedBy };
}

/** The first Sunday of the year. */
function regulationYearStart(year: number): PlainDate {
  const first = `${year}-01-01`;
  return addDays(first, 7 - isoWeekday(first));
}

function regulationWeeksIn(year: number): number {
  return (dayNumber(regulationYearStart(year + 1)) - dayNumber(regulationYearStart(year))) / 7;
}
