import { exampleEvent } from "../example-mail.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownEvent } from "../present/mail.ts";
import { eventList, eventPage } from "../schemas/mail.ts";
import { defineRoute, inAccount } from "../services.ts";
import { visibleIds } from "../visible.ts";

const list = defineRoute({
  operationId: "listEvents",
  method: "GET",
  path: "/v1/events",
  tag: "Event",
  summary: "Follow what changes",
  description:
    "Everything that changed, oldest first, in an order that a follower may rely on: deletions included, nothing passed over. Keep `nextCursor` and ask again with it; `more` says whether there is any need to wait; with a filter a page may be short, or empty, and yet there be more. An event shows as soon as every older change is settled.",
  access: { scope: "read" },
  query: eventList,
  answers: {
    200: {
      description: "What changed since the cursor.",
      schema: eventPage,
      example: { items: [exampleEvent], nextCursor: "opaque", more: false },
    },
  },
  async handle(call) {
    const { type, vehicleId, cursor } = call.query;
    return inAccount(call, async (tx) => {
      const vehicleIds = await visibleIds(tx, call.caller, vehicleId);
      const { items, last, more } = await tx.events.list({ type, vehicleIds }, pageAsked(call));
      const { link, ...answer } = pageAnswer(call, { items, next: last }, shownEvent);
      const nextCursor = answer.body.nextCursor ?? cursor ?? null;
      const body = { items: answer.body.items, nextCursor, more };
      return { status: 200, body, ...(more && link !== undefined && { link }) };
    });
  },
});

export const eventRoutes = [list];
