import { createHash } from "node:crypto";
import { z } from "zod";
import { breathing } from "../../application/breathe.ts";
import { calendarView } from "../../application/calendar-view.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { calendarParts, REFRESH_SECONDS } from "../../render/calendar-feed.ts";
import { defineRoute } from "../services.ts";

const EXAMPLE = [
  "BEGIN:VCALENDAR",
  "VERSION:2.0",
  "PRODID:-//Forewheel//Calendar feed//EN",
  "NAME:Machines of the harbour",
  "REFRESH-INTERVAL;VALUE=DURATION:PT1H",
  "END:VCALENDAR",
  "",
].join("\r\n");

const read = defineRoute({
  operationId: "readCalendar",
  method: "GET",
  path: "/calendars/{token}.ics",
  tag: "Calendar feed",
  summary: "The calendar behind an address",
  description:
    "What a calendar program reads (RFC 5545): one all-day entry a task on its most likely day, as it was last told. Between tellings it stays the same, byte for byte; an entry keeps its UID, and its SEQUENCE rises when its day moves. Without a key: the address is the secret. At most 500 tasks, those that come soonest.",
  access: { open: true },
  versioned: "bytes",
  params: z.strictObject({
    token: z.string().max(512).meta({ description: "As it stands in the address." }),
  }),
  answers: {
    200: {
      description: "The calendar.",
      headers: { "Cache-Control": "How long it may be kept without asking again." },
      media: { "text/calendar": { schema: z.string(), example: EXAMPLE } },
    },
  },
  async handle({ params, deps }) {
    const claims = deps.calendars.read(params.token);
    const found =
      claims &&
      (await deps.followedCalendar(claims.accountId, {
        id: claims.feedId,
        secretNumber: claims.secretNumber,
      }));
    if (!found) throw new Refusal({ kind: "notFound", resource: "calendar feed" });
    const body = await joined(calendarParts(calendarView(found), deps.mailDomain));
    return {
      status: 200,
      type: "text/calendar; charset=utf-8",
      headers: { "cache-control": `private, max-age=${REFRESH_SECONDS}` },
      tag: `"${createHash("sha256").update(body).digest("base64url")}"`,
      body,
    };
  },
});

/** A calendar of hundreds of tasks would hold up the event loop. */
async function joined(parts: Iterable<string>): Promise<string> {
  const breathe = breathing();
  let whole = "";
  for (const part of parts) {
    whole += part;
    await breathe();
  }
  return whole;
}

export const calendarRoutes = [read];
