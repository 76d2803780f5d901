import { type ExpectedVersion, requireVersion } from "../domain/failure/expected-version.ts";
import { Refusal, refuseField } from "../domain/failure/failure.ts";
import { type Caller, rightOf } from "./caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "./deps.ts";
import type { EventTypeName } from "./event-types.ts";
import { findOrRefuse } from "./find-or-refuse.ts";
import type { CalendarFeedFilter, Transaction } from "./ports.ts";
import type { CalendarFeed } from "./records.ts";

const RESOURCE = "calendar feed";

export interface CalendarFeedInput {
  name: string;
  /** null: all machines of the account; not told: all that the caller's role looks after. */
  memberId?: string | null | undefined;
}

/** Adds a calendar. Riders and mechanics keep their own alone. */
export async function addCalendarFeed(
  tx: Transaction,
  caller: Caller,
  { name, memberId: wanted }: CalendarFeedInput,
  deps: Deps,
): Promise<CalendarFeed> {
  const { memberId: own } = visibleFeeds(caller);
  const memberId = wanted === undefined ? (own ?? null) : wanted;
  if (own !== undefined && memberId !== own) {
    throw new Refusal({
      kind: "forbidden",
      need: "a role that may keep calendars of other members and of the whole account",
    });
  }
  if (memberId !== null && !(await tx.members.find(memberId))) {
    throw refuseField("#/memberId", "must be the id of a member of this account");
  }
  const now = await accountTime(tx, deps);
  const row = { ...fresh(deps, now), name, memberId, secretNumber: 1 };
  const added = await tx.calendarFeeds.insert(row);
  await note(tx, deps, now, "calendarFeed.added", added.id);
  return added;
}

/** Gives a calendar another name. */
export async function renameCalendarFeed(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  nameOf: (now: CalendarFeed) => string,
  deps: Deps,
): Promise<CalendarFeed> {
  const feed = await findCalendarFeed(tx, caller, id);
  requireVersion(expected, feed.version, RESOURCE);
  return change(tx, feed, { name: nameOf(feed) }, "calendarFeed.changed", deps);
}

/** A new address; the old one is dead from now on. */
export async function rotateCalendarFeed(
  tx: Transaction,
  caller: Caller,
  id: string,
  deps: Deps,
): Promise<CalendarFeed> {
  const feed = await findCalendarFeed(tx, caller, id);
  const next = { secretNumber: feed.secretNumber + 1 };
  return change(tx, feed, next, "calendarFeed.rotated", deps);
}

export async function removeCalendarFeed(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  deps: Deps,
): Promise<void> {
  const feed = await findCalendarFeed(tx, caller, id);
  requireVersion(expected, feed.version, RESOURCE);
  if (!(await tx.calendarFeeds.remove(id, feed.version))) {
    throw new Refusal({ kind: "preconditionFailed", resource: RESOURCE });
  }
  await note(tx, deps, await accountTime(tx, deps), "calendarFeed.removed", id);
}

/** The calendar that the caller may see; a hidden one is told like a missing one. */
export async function findCalendarFeed(
  tx: Transaction,
  caller: Caller,
  id: string,
): Promise<CalendarFeed> {
  const { memberId } = visibleFeeds(caller);
  const feed = await findOrRefuse(tx.calendarFeeds, id, RESOURCE);
  if (memberId !== undefined && feed.memberId !== memberId) {
    throw new Refusal({ kind: "notFound", resource: RESOURCE });
  }
  return feed;
}

/**
 * The condition that lists of calendars carry for this caller.
 * @throws Refusal forbidden for a key that is bound to vehicles: a calendar shows others as well
 */
export function visibleFeeds(caller: Caller): CalendarFeedFilter {
  if (caller.vehicleIds) {
    throw new Refusal({ kind: "forbidden", need: "a key that is not bound to vehicles" });
  }
  return rightOf(caller, "keepCalendars") === "yes" ? {} : { memberId: caller.memberId };
}

async function change(
  tx: Transaction,
  feed: CalendarFeed,
  fields: Partial<CalendarFeed>,
  event: EventTypeName,
  deps: Deps,
): Promise<CalendarFeed> {
  const now = await accountTime(tx, deps);
  const written = await tx.calendarFeeds.update(feed.id, feed.version, {
    ...fields,
    updatedAt: now,
  });
  await note(tx, deps, now, event, feed.id);
  return written;
}

async function note(tx: Transaction, deps: Deps, now: number, type: EventTypeName, id: string) {
  await tx.machine.write({ events: [eventOf(deps, now, type, { resourceId: id }, {})] }, now);
}
