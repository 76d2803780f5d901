import type { CalendarAddresses } from "../../application/calendar-addresses.ts";
import type { CalendarFeed } from "../../application/records.ts";
import { shownStored } from "./shown.ts";

export function shownCalendarFeed(feed: CalendarFeed) {
  const { name, memberId } = feed;
  return shownStored(feed, { name, memberId });
}

/** With its address, which is shown where it is made and nowhere else. */
export function openedCalendarFeed(
  feed: CalendarFeed,
  accountId: string,
  calendars: CalendarAddresses,
) {
  const { id: feedId, secretNumber } = feed;
  return { ...shownCalendarFeed(feed), url: calendars.url({ accountId, feedId, secretNumber }) };
}
