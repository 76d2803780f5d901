import {
  addCalendarFeed,
  findCalendarFeed,
  removeCalendarFeed,
  renameCalendarFeed,
  rotateCalendarFeed,
  visibleFeeds,
} from "../../application/calendar-feeds.ts";
import type { CalendarFeed } from "../../application/records.ts";
import type { Caller } from "../caller.ts";
import { EXAMPLE, exampleStored } from "../examples.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { applyPatch, patchOf } from "../patch-body.ts";
import { openedCalendarFeed as opened, shownCalendarFeed } from "../present/calendar-feed.ts";
import {
  calendarFeed,
  calendarFeedBody,
  calendarFeedChange,
  calendarFeedList,
  openedCalendarFeed,
  calendarFeedParams as params,
} from "../schemas/calendar-feed.ts";
import { page } from "../schemas/common.ts";
import { defineRoute, inAccount, onceInAccount, type Services } from "../services.ts";

const tag = "Calendar feed";
const example = {
  ...exampleStored,
  name: "Machines of the harbour",
  memberId: EXAMPLE.memberId,
};
const shown = { description: "The calendar.", schema: calendarFeed, example };
const made = {
  description: "The calendar with its address, shown this once.",
  schema: openedCalendarFeed,
  example: { ...example, url: "https://forewheel.example.org/calendars/shown-once.ics" },
};

const post = defineRoute({
  operationId: "addCalendarFeed",
  method: "POST",
  path: "/v1/calendar-feeds",
  tag,
  summary: "Make a calendar to subscribe to",
  description:
    "Makes an address at which calendar programs read when the tasks of a member's machines, or of all machines, fall due. A manager's right makes any; riders and mechanics make their own alone. A key that is bound to vehicles makes none.",
  access: { scope: "write" },
  creates: "folded",
  secretFields: ["/url"],
  versioned: true,
  body: calendarFeedBody,
  examples: { body: { name: example.name, memberId: example.memberId } },
  answers: { 201: made },
  handle: (call) =>
    onceInAccount(call, async (tx) => {
      const feed = await addCalendarFeed(tx, call.caller, call.body, call.deps);
      return {
        status: 201,
        location: `/v1/calendar-feeds/${feed.id}`,
        ...answerWithUrl(feed, call),
      };
    }),
});

const list = defineRoute({
  operationId: "listCalendarFeeds",
  method: "GET",
  path: "/v1/calendar-feeds",
  tag,
  summary: "List calendars",
  description:
    "Calendars without their addresses, newest first, on (createdAt, id). Riders and mechanics see their own alone.",
  access: { scope: "read" },
  query: calendarFeedList,
  answers: {
    200: {
      description: "A page of calendars.",
      schema: page(calendarFeed, "CalendarFeedPage"),
      example: { items: [example], nextCursor: null },
    },
  },
  async handle(call) {
    const bounds = visibleFeeds(call.caller);
    const { memberId, updatedAfter } = call.query;
    if (bounds.memberId !== undefined && memberId !== undefined && memberId !== bounds.memberId) {
      return { status: 200, body: { items: [], nextCursor: null } };
    }
    const filter = { memberId, updatedAfter, ...bounds };
    const found = await inAccount(call, (tx) => tx.calendarFeeds.list(filter, pageAsked(call)));
    return pageAnswer(call, found, shownCalendarFeed);
  },
});

const get = defineRoute({
  operationId: "getCalendarFeed",
  method: "GET",
  path: "/v1/calendar-feeds/{feedId}",
  tag,
  summary: "One calendar",
  description: "A calendar without its address, which is shown where it is made alone.",
  access: { scope: "read" },
  versioned: true,
  params,
  answers: { 200: shown },
  async handle(call) {
    const feed = await inAccount(call, (tx) =>
      findCalendarFeed(tx, call.caller, call.params.feedId),
    );
    return { status: 200, body: shownCalendarFeed(feed), version: feed.version };
  },
});

const patch = defineRoute({
  operationId: "changeCalendarFeed",
  method: "PATCH",
  path: "/v1/calendar-feeds/{feedId}",
  tag,
  summary: "Rename a calendar",
  description:
    "Changes the name by a merge patch (RFC 7396); whose machines a calendar shows stays.",
  access: { scope: "write" },
  versioned: true,
  params,
  body: patchOf(calendarFeedChange),
  examples: { body: { name: "Harbour" } },
  answers: { 200: shown },
  async handle(call) {
    const { caller, params: path, ifMatch, body, deps } = call;
    const nameOf = ({ name }: CalendarFeed) => applyPatch(calendarFeedChange, { name }, body).name;
    const feed = await inAccount(call, (tx) =>
      renameCalendarFeed(tx, caller, path.feedId, ifMatch, nameOf, deps),
    );
    return { status: 200, body: shownCalendarFeed(feed), version: feed.version };
  },
});

const rotate = defineRoute({
  operationId: "rotateCalendarFeed",
  method: "POST",
  path: "/v1/calendar-feeds/{feedId}/rotate",
  tag,
  summary: "Give a calendar a new address",
  description: "The old address is dead at once. The new one is shown this once.",
  access: { scope: "write" },
  creates: "folded",
  secretFields: ["/url"],
  versioned: true,
  params,
  answers: { 200: made },
  handle: (call) =>
    onceInAccount(call, async (tx) => {
      const feed = await rotateCalendarFeed(tx, call.caller, call.params.feedId, call.deps);
      return { status: 200, ...answerWithUrl(feed, call) };
    }),
});

const remove = defineRoute({
  operationId: "removeCalendarFeed",
  method: "DELETE",
  path: "/v1/calendar-feeds/{feedId}",
  tag,
  summary: "Remove a calendar",
  description: "Its address is dead at once.",
  access: { scope: "write" },
  versioned: true,
  params,
  answers: { 204: { description: "Removed." } },
  async handle(call) {
    await inAccount(call, (tx) =>
      removeCalendarFeed(tx, call.caller, call.params.feedId, call.ifMatch, call.deps),
    );
    return { status: 204 };
  },
});

function answerWithUrl(feed: CalendarFeed, { caller, deps }: { caller: Caller; deps: Services }) {
  return { body: opened(feed, caller.accountId, deps.calendars), version: feed.version };
}

export const calendarFeedRoutes = [post, list, get, patch, rotate, remove];
