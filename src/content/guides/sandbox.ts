import { sandboxNamed } from "./begin.ts";
import type { Guide } from "./guide.ts";

export const SANDBOX: Guide = {
  slug: "sandbox",
  title: "The sandbox",
  about: "A year of readings and reminders in a minute, with mail that is kept and never sent.",
  sections: [
    {
      heading: "An account on a clock of its own",
      parts: [
        {
          say: "A sandbox is an account like any other, but for two things: its time stands still until you move it, and its mail and webhooks are kept. Plans, states, the default of `at` and the expiry of links go by its clock; keys, rate limits and Idempotency-Keys by the real one.",
        },
        sandboxNamed("A year to try", "2026-01-05T08:00:00Z"),
        {
          run: `V=$(post /v1/vehicles '{ "name": "Commuter 125", "kind": "moped", "meterUnit": "km", "inServiceOn": "2026-01-05" }' | json .id)
post /v1/vehicles/$V/tasks '{ "title": "Engine oil", "lastWork": "never", "every": { "distance": { "km": 3000, "mi": 2000 }, "months": 12 } }' > task.json`,
        },
      ],
    },
    {
      heading: "Moving the clock",
      parts: [
        {
          say: "`POST /v1/account/clock` moves it forward. When it answers, everything has happened that would have happened on the way: reminders spoke, digests were written, events were delivered. Here a rider covers some 60 km a week and posts every fourth week.",
        },
        {
          run: String.raw`for WEEK in 0 4 8 12 16 20 24 28 32 36 40 44 48 52; do
  AT=$(node -p "new Date(Date.parse('2026-01-05T18:00:00Z') + $WEEK * 604800000).toISOString()")
  post /v1/account/clock "{ \"to\": \"$AT\" }" > clock.json
  post /v1/vehicles/$V/readings "{ \"value\": $((WEEK * 60)) }" > reading.json
done
get /v1/account | json .clock
json '.next[0].state' < reading.json`,
          prints: "2027-01-04T18:00:00.000Z\ndue",
        },
      ],
    },
    {
      heading: "Reading the mail",
      parts: [
        {
          say: "`/v1/messages` lists what was written, newest first; `sent` means kept here. One message shows headers, both bodies and attachments, as a mail server would have got them.",
        },
        {
          run: String.raw`get '/v1/messages?kind=reminder' > messages.json
json '.items.map(({ subject }) => subject)' < messages.json
get /v1/messages/$(json '.items[1].id' < messages.json) > mail.json
json '.text.split("\n")[0]' < mail.json`,
          prints: `[
  'Commuter 125: what does the meter show?',
  'Engine oil on Commuter 125: between 16 December 2026 and 5 January 2027',
  'Commuter 125: what does the meter show?',
  'Commuter 125: what does the meter show?',
  'Commuter 125: what does the meter show?'
]
Commuter 125: Engine oil, between 16 December 2026 and 5 January 2027.`,
        },
        {
          say: "Why a reminder spoke when it did stands in `/v1/reminders`, in `why.sentence`. So does why another was cancelled, for example because work was logged.",
        },
      ],
    },
    {
      heading: "What goes wrong",
      parts: [
        {
          say: "The clock never goes back: make another sandbox. A reading ahead of the sandbox's clock is refused, as one ahead of the real clock is elsewhere: move the clock first. Long moves of accounts with many machines take a while, since everything on the way is really done; move in steps of a month.",
        },
        {
          run: `post /v1/account/clock '{ "to": "2026-01-01T00:00:00Z" }' | json .status`,
          prints: "422",
        },
      ],
    },
  ],
};
