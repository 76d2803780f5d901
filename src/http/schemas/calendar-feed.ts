import { z } from "zod";
import { id, pageQuery, text, updatedAfter } from "./common.ts";
import { instant } from "./time.ts";

const name = text(200).meta({ example: "Machines of the harbour" });

export const calendarFeedBody = z
  .strictObject({
    name,
    memberId: id.nullable().optional().meta({
      description:
        "Whose machines it shows; null for all of the account. Not told, it is all of the account, and for a rider's or mechanic's key those that the member looks after.",
    }),
  })
  .meta({ id: "CalendarFeedBody" });

/** What can be changed later: whose machines it shows stays. */
export const calendarFeedChange = z.strictObject({ name });

export const calendarFeed = z
  .strictObject({
    id,
    createdAt: instant,
    updatedAt: instant,
    name: z.string(),
    memberId: id.nullable().meta({
      description: "Whose machines it shows; null for all of the account.",
    }),
  })
  .meta({ id: "CalendarFeed", description: "A calendar to subscribe to, without its address." });

export const openedCalendarFeed = calendarFeed
  .extend({
    url: z.url().optional().meta({
      description:
        "The address for a calendar program, shown this once and absent from a repeat: whoever has it reads the calendar without a key.",
    }),
  })
  .meta({ id: "OpenedCalendarFeed" });

export const calendarFeedParams = z.strictObject({ feedId: id });

export const calendarFeedList = pageQuery.extend({ memberId: id.optional(), updatedAfter });
