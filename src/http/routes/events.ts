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
    "Everything that changed, oldest first, in an order that a follower may rely on: deletions included, nothing passed over. Keep `nextCursor` and ask again with it; `more` says whether there is any need to wait; with a filter a page may be short, or empty, and yet there be more. An event shows as soon as every older change is settled. To copy an account, ask for the end of the log first (`start=end`), read what there is, and follow from there.",
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
    // Where a follower begins does not bind its cursor.
    const { start, ...query } = call.query;
    const { type, vehicleId, cursor } = query;
    const asked = { ...call, query };
    return inAccount(call, async (tx) => {
      if (start === "end" && cursor === undefined) {
        const { body } = pageAnswer(asked, { items: [], next: await tx.events.end() }, shownEvent);
        return { status: 200, body: { ...body, more: false } };
      }
      const vehicleIds = await visibleIds(tx, call.caller, vehicleId);
      const { items, last, more } = await tx.events.list({ type, vehicleIds }, pageAsked(asked));
      const { link, body } = pageAnswer(asked, { items, next: last }, shownEvent);
      return { status: 200, body: { ...body, more }, ...(more && link !== undefined && { link }) };
    });
  },
});

export const eventRoutes = [list];
