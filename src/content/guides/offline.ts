import { sandboxNamed } from "./begin.ts";
import type { Guide } from "./guide.ts";

export const OFFLINE: Guide = {
  slug: "offline",
  title: "Posting offline",
  about:
    "Readings are written down where there is no network, and posted once, however often they are sent.",
  sections: [
    {
      heading: "Write down first, post later",
      parts: [
        {
          say: "Write each reading into a file or a table of the device before anything is sent, with the moment at which it was read and an `externalId` of the device's own making. Post what is waiting when there is a network. Take out what was answered, and nothing else.",
        },
        sandboxNamed("Riders far out"),
        {
          run: `export V=$(post /v1/vehicles '{ "name": "Tourer 800", "kind": "motorcycle", "meterUnit": "km" }' | json .id)
cat > outbox.json <<'END'
[ { "value": 1200, "at": "2026-04-03T10:00:00Z", "externalId": "phone-1:1" },
  { "value": 1460, "at": "2026-04-12T17:30:00Z", "externalId": "phone-1:2" },
  { "value": 1910, "at": "2026-04-26T19:05:00Z", "externalId": "phone-1:3" } ]
END`,
        },
        {
          file: "post-outbox.mjs",
          holds: `import { readFileSync, renameSync, writeFileSync } from 'node:fs';

const { API, KEY, V } = process.env;
const waiting = JSON.parse(readFileSync('outbox.json', 'utf8'));
const batch = waiting.slice(0, 500);

const answer = await fetch(API + '/v1/readings/batch', {
  method: 'POST',
  headers: { authorization: 'Bearer ' + KEY, 'content-type': 'application/json' },
  body: JSON.stringify({ readings: batch.map((reading) => ({ vehicleId: V, ...reading })) }),
});
// No answer, or none that counts: everything stays in the outbox and is sent again later.
if (!answer.ok) throw new Error((await answer.json()).detail);

const { results } = await answer.json();
const again = results.filter(({ status }) => status === 429 || status >= 500);
for (const { index, reading, problem } of results) {
  if (reading) console.log(batch[index].value, reading.status);
  else console.log(batch[index].value, 'refused:', problem.detail);
}
const rest = [...again.map(({ index }) => batch[index]), ...waiting.slice(batch.length)];
writeFileSync('outbox.json.new', JSON.stringify(rest));
renameSync('outbox.json.new', 'outbox.json');`,
        },
        {
          run: "cp outbox.json sent.json\nnode post-outbox.mjs",
          prints: "1200 accepted\n1460 accepted\n1910 accepted",
        },
      ],
    },
    {
      heading: "When the answer is lost",
      parts: [
        {
          say: "The device sent the batch, and the network broke before the answer came. It cannot know whether anything arrived, and need not: the same `externalId` with the same content finds the reading that is there, with status 200 in place of 201.",
        },
        {
          run: `cp sent.json outbox.json
node post-outbox.mjs
get /v1/vehicles/$V/readings | json .items.length`,
          prints: "1200 accepted\n1460 accepted\n1910 accepted\n3",
        },
        {
          say: "An `Idempotency-Key` does the same for whatever has no `externalId`, for 24 hours: keep the key with the waiting request, and send the request unchanged. `externalId` holds for ever, so it is the better of the two for a phone that may be out for weeks.",
        },
      ],
    },
    {
      heading: "What goes wrong",
      parts: [
        {
          say: "Readings may come in any order and years late; each is judged by those around it. One of the batch that is refused does not keep the others out. Show it to the rider with its problem, and do not send it again unchanged. An id that comes again with another value is such a case: the device gave two readings the same id.",
        },
        {
          run: `echo '[ { "value": 1999, "at": "2026-04-26T19:05:00Z", "externalId": "phone-1:3" } ]' > outbox.json
node post-outbox.mjs`,
          prints:
            '1999 refused: The externalId "phone-1:3" is taken by one with another value. Send the same content again, or another externalId.',
        },
        {
          say: "Give each `at` with its offset from UTC (or in UTC). Do not correct the device's clock afterwards: what was written down is sent as it was written.",
        },
      ],
    },
  ],
};
