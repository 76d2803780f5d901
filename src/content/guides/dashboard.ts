import { sandboxNamed } from "./begin.ts";
import type { Guide } from "./guide.ts";

export const DASHBOARD: Guide = {
  slug: "dashboard",
  title: "A dashboard",
  about:
    "What falls due, how much work is to be expected, and one machine's forecast as a drawing.",
  sections: [
    {
      heading: "What falls due",
      parts: [
        sandboxNamed("Harbour workshop"),
        {
          run: `for NAME in "Single 150" "Twin 650"; do
  V=$(post /v1/vehicles '{ "name": "'"$NAME"'", "kind": "motorcycle", "meterUnit": "km", "group": "East quay",
    "inServiceOn": "2026-04-01", "declaredPerYear": 9000 }' | json .id)
  post /v1/vehicles/$V/tasks '{ "title": "Chain", "lastWork": "never", "minutes": 30, "every": { "distance": { "km": 1000, "mi": 600 } } }' > task.json
  post /v1/vehicles/$V/readings '{ "value": 640 }' > reading.json
done
get '/v1/due?withinDays=60&group=East%20quay' | json '.items.map(({ vehicleName, title, state, probability }) => [vehicleName, title, state, probability > 0.5])'`,
          prints: `[
  [ 'Single 150', 'Chain', 'ahead', true ],
  [ 'Twin 650', 'Chain', 'ahead', true ]
]`,
        },
        {
          say: "`probability` is that of being due by the end of the window; `forecast.likely` is the range of days. Draw the range. The list comes in pages, in the order of the first likely day as it was told last: follow `nextCursor` until it is null. `state` and `group` pick out a part.",
        },
      ],
    },
    {
      heading: "How much work to expect",
      parts: [
        {
          say: "`/v1/workload` tells the jobs to expect week by week, as expected numbers with the range in which the number lies four times in five, and how many minutes they take as far as their tasks say.",
        },
        {
          run: `get '/v1/workload?weeks=3' | json '.weeks.map(({ week, likely }) => week + ": " + likely.least + " to " + likely.most)'`,
          prints: "[ '2026-W18: 0 to 1', '2026-W19: 0 to 1', '2026-W20: 0 to 1' ]",
        },
      ],
    },
    {
      heading: "One machine as a drawing",
      parts: [
        {
          run: `curl -s $API/v1/vehicles/$V/forecast.svg -H "Authorization: Bearer $KEY" -o forecast.svg
head -c 4 forecast.svg`,
          prints: "<svg",
        },
        {
          say: "The drawing has no script and reads in the dark and on a phone. An `img` element sends no key: fetch the drawing with the key and show it from an object URL, or let your server pass it on.",
        },
      ],
    },
    {
      heading: "In a browser",
      parts: [
        {
          say: "Whoever looks at a page can read its key. So keep the lasting key on your server, and hand the page one that ends within the hour and can do no more than the page needs. And name the origin of the page, or the browser lets it read no answer.",
        },
        {
          run: String.raw`curl -s -X PATCH $API/v1/account -H "Authorization: Bearer $KEY" -H 'If-Match: *' \
  -H 'Content-Type: application/merge-patch+json' -d '{ "allowedOrigins": ["https://dash.example.org"] }' | json .allowedOrigins
PAGE=$(post /v1/api-keys/short-lived '{ "scopes": ["read"], "minutes": 60 }' | json .key)
from() { curl -sD - -o due.json $API/v1/due -H "Authorization: Bearer $PAGE" -H "Origin: $1" | tr -d '\r' | grep -ci "^access-control-allow-origin: $1" || true; }
from https://dash.example.org
from https://elsewhere.example.org`,
          prints: "[ 'https://dash.example.org' ]\n1\n0",
        },
        {
          say: "The second origin is none that the account lists, and the browser keeps the answer from the page. `memberId` and `vehicleIds` bind such a key to one member or some machines.",
        },
      ],
    },
    {
      heading: "What goes wrong",
      parts: [
        {
          say: "401 after an hour: the short-lived key has ended, so fetch another from your server. Nothing but a network error in the browser: the origin is not listed; scheme and port belong to it, a path does not. A machine that you expect is not among what falls due: it has no reading yet, or its tasks lack `lastWork`, so that nothing is known; look at the task's `state`, which is then `unknown`.",
        },
        {
          run: `V=$(post /v1/vehicles '{ "name": "Bought used", "kind": "moped", "meterUnit": "km" }' | json .id)
post /v1/vehicles/$V/tasks '{ "title": "Chain", "every": { "distance": { "km": 1000 } } }' | json .state`,
          prints: "unknown",
        },
      ],
    },
  ],
};
