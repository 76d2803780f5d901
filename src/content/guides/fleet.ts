import { sandboxNamed } from "./begin.ts";
import type { Guide } from "./guide.ts";

const PROGRAM = String.raw`import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';

const fleet = existsSync('fleet.json')
  ? JSON.parse(readFileSync('fleet.json', 'utf8'))
  : { cursor: null, vehicles: {}, news: [], ask: {}, due: [] };
function save() {
  writeFileSync('fleet.json.new', JSON.stringify(fleet));
  renameSync('fleet.json.new', 'fleet.json');
}
async function call(path, body) {
  const headers = { authorization: 'Bearer ' + process.env.KEY, 'content-type': 'application/json' };
  const sent = body && { method: 'POST', body: JSON.stringify(body) };
  const answer = await fetch(process.env.API + path, { headers, ...sent });
  if (answer.ok || answer.status === 404) return answer.ok ? answer.json() : null;
  if (answer.status !== 429 && answer.status !== 503) throw new Error(await answer.text());
  await new Promise((wait) => setTimeout(wait, 1000 * answer.headers.get('retry-after')));
  return call(path, body);
}
async function all(path, cursor = '') {
  const { items, nextCursor } = await call(path + cursor);
  return nextCursor === null ? items : [...items, ...(await all(path, '&cursor=' + nextCursor))];
}
async function follow() {
  for (let page = { more: true }; page.more; fleet.cursor = page.nextCursor, save()) {
    page = await call('/v1/events?limit=200&cursor=' + fleet.cursor);
    fleet.news.push(...page.items.filter(({ type }) => type.startsWith('task.')));
    for (const { vehicleId } of page.items.filter(({ type }) => type === 'vehicle.changed'))
      fleet.vehicles[vehicleId] = await call('/v1/vehicles/' + vehicleId) ?? undefined; // removed
  }
}
if (fleet.cursor === null) { // where the log ends, then what there is: nothing is missed between
  fleet.cursor = (await call('/v1/events?start=end')).nextCursor;
  for (const one of await all('/v1/vehicles?limit=200')) fleet.vehicles[one.id] = one;
}
await follow(); // machines that are new today are known from here on
const there = Object.values(fleet.vehicles).filter(Boolean);
const idOf = new Map(there.map(({ externalId, id }) => [externalId, id]));
const rows = readFileSync(process.argv[2], 'utf8').trim().split('\n').map((row) => row.split(','));
const readings = rows.map(([name, value, at]) =>
  ({ vehicleId: idOf.get(name), value: Number(value), at, externalId: name + ' ' + at }));
for (const { vehicleId, externalId } of readings) if (!vehicleId) fleet.ask[externalId] = 'No such machine.';
for (let rest = readings.filter(({ vehicleId }) => vehicleId); rest.length > 0; rest = rest.slice(200)) {
  const { results } = await call('/v1/readings/batch', { readings: rest.slice(0, 200) });
  for (const { index, reading, problem } of results) if (problem || reading.status === 'held')
    fleet.ask[rest[index].externalId] = problem?.detail ?? reading.reasons[0].detail;
}
await follow();
fleet.due = await all('/v1/due?withinDays=30&limit=200');
save();`;

export const FLEET: Guide = {
  slug: "fleet",
  title: "A fleet of 400",
  about: "One small program posts a fleet's readings each day and keeps a file of what falls due.",
  sections: [
    {
      heading: "The program",
      parts: [
        {
          say: "It reads the day's readings from a file with a line for each (the fleet's own name of the machine, the value, the moment), and keeps all that it knows in `fleet.json`: the machines, what falls due in the next 30 days, what has come near or due since it began, and which readings somebody should look at.",
        },
        { file: "fleet.mjs", holds: PROGRAM },
      ],
    },
    {
      heading: "A first day",
      parts: [
        sandboxNamed("Quay hire"),
        {
          run: String.raw`post /v1/schedules '{ "name": "Step 50", "tasks": [
  { "title": "Oil", "every": { "distance": { "km": 1000, "mi": 600 } } },
  { "title": "Brake pads: look", "every": { "months": 2 } } ] }' > schedule.json
for N in 1 2 3; do
  post /v1/vehicles '{ "name": "Step 50, number '$N'", "kind": "moped", "meterUnit": "km", "group": "Quay",
    "inServiceOn": "2026-04-01", "externalId": "step-'$N'" }' | json .id
done > ids.txt
post /v1/schedules/$(json .id < schedule.json)/put-on "$(node -p "JSON.stringify({ lastWork: 'never',
  vehicleIds: require('fs').readFileSync('ids.txt', 'utf8').trim().split('\n') })")" | json .tasksAdded
cat > monday.csv <<'END'
step-1,310,2026-05-01T07:00:00Z
step-2,845,2026-05-01T07:00:00Z
step-3,122,2026-05-01T07:00:00Z
END
node fleet.mjs monday.csv
tell() { json "$1" < fleet.json; }
tell '.due.map(({ vehicleName, title, state }) => [vehicleName, title, state].join(": ")).sort()'`,
          prints: `6
[
  'Step 50, number 1: Oil: later',
  'Step 50, number 2: Oil: ahead',
  'Step 50, number 3: Oil: later'
]`,
        },
        {
          say: "A schedule holds the tasks once, and is put on up to 1,000 machines in one call.",
        },
      ],
    },
    {
      heading: "The next days",
      parts: [
        {
          say: "Started again, the program goes on where it stopped. Broken off half-way, it sends the same readings once more, which does no harm: each has an `externalId` made of the machine and the moment. A reading that cannot be right is held and stands in `ask`, for a person to confirm or correct.",
        },
        {
          run: `post /v1/account/clock '{ "to": "2026-05-08T07:00:00Z" }' > clock.json
cat > next.csv <<'END'
step-1,402,2026-05-08T06:00:00Z
step-2,1010,2026-05-08T06:00:00Z
step-3,15500,2026-05-08T06:00:00Z
step-4,88,2026-05-08T06:00:00Z
END
node fleet.mjs next.csv
node fleet.mjs next.csv
tell '.news.map(({ type, data }) => type)'
tell '.ask'`,
          prints: `[ 'task.ahead', 'task.due' ]
{
  'step-4 2026-05-08T06:00:00Z': 'No such machine.',
  'step-3 2026-05-08T06:00:00Z': 'No such machine runs so far in that time.'
}`,
        },
      ],
    },
    {
      heading: "What goes wrong",
      parts: [
        {
          say: "429: the program waits as long as `Retry-After` says and asks again. Two of them with one key share its 100 requests a second; give each a key of its own. Any other refusal stops it, with the problem's text: nothing is passed over in silence. 422 for the cursor: `fleet.json` was kept for another account; take it away. A name of which the account has no machine stands in `ask` too: add the machine under that `externalId`, and start the program again with the same file.",
        },
        {
          say: "What it costs: 400 machines are read in two requests, their readings are posted in two, and what changed and what falls due is read in a handful. So once a day is enough, and once a minute is no burden.",
        },
      ],
    },
  ],
};
