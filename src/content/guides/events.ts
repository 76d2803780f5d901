import { sandboxNamed } from "./begin.ts";
import type { Guide, Part } from "./guide.ts";

const COPY: readonly Part[] = [
  {
    say: "`/v1/events` is the log of everything that changed, deletions included, in an order to rely on. To keep a copy: ask where the log ends, read everything once, and follow from there. In this order nothing is missed; what changed while you read comes once more.",
  },
  sandboxNamed("Quay rental", null),
  {
    run: `post /v1/vehicles '{ "name": "Step 50", "kind": "moped", "meterUnit": "km" }' > first.json`,
  },
  {
    file: "follow.mjs",
    holds: `import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';

async function get(path) {
  const answer = await fetch(process.env.API + path, { headers: { authorization: 'Bearer ' + process.env.KEY } });
  if (answer.status === 404) return null;
  if (!answer.ok) throw new Error((await answer.json()).detail);
  return answer.json();
}

let copy = existsSync('copy.json') ? JSON.parse(readFileSync('copy.json', 'utf8')) : null;
if (copy === null) {
  copy = { cursor: (await get('/v1/events?start=end')).nextCursor, vehicles: {} };
  for (let next = ''; next !== null; ) {
    const { items, nextCursor } = await get('/v1/vehicles?limit=200' + next);
    for (const vehicle of items) copy.vehicles[vehicle.id] = vehicle;
    next = nextCursor && '&cursor=' + nextCursor;
  }
}
for (let more = true; more; ) {
  const page = await get('/v1/events?limit=200&cursor=' + copy.cursor);
  for (const { type, vehicleId } of page.items) {
    if (type !== 'vehicle.changed') continue;
    const vehicle = await get('/v1/vehicles/' + vehicleId);
    if (vehicle === null) delete copy.vehicles[vehicleId];
    else copy.vehicles[vehicleId] = vehicle;
  }
  // The copy and the place in the log are written together, so that neither runs ahead of the other.
  copy.cursor = page.nextCursor;
  writeFileSync('copy.json.new', JSON.stringify(copy));
  renameSync('copy.json.new', 'copy.json');
  more = page.more;
}
console.log(Object.values(copy.vehicles).map(({ name }) => name).sort().join(', '));`,
  },
  {
    run: `node follow.mjs
SECOND=$(post /v1/vehicles '{ "name": "Twin 650", "kind": "motorcycle", "meterUnit": "km" }' | json .id)
node follow.mjs
curl -s -X DELETE $API/v1/vehicles/$SECOND -H "Authorization: Bearer $KEY" -H 'If-Match: *'
node follow.mjs`,
    prints: "Step 50\nStep 50, Twin 650\nStep 50",
  },
  {
    say: "An event says that something changed, and names it; read how it stands now from its resource. So it does no harm to see an event twice or late. Ask again every few seconds, or when a webhook knocks. The cursor stays good for as long as the log does; keep it with the copy, in one transaction.",
  },
];

const WEBHOOKS: readonly Part[] = [
  {
    say: "An endpoint is told of the types of event that it wants, signed by Standard Webhooks 1.0.0 with a secret that is shown once. Its address must be https and on the public internet. In a sandbox deliveries are kept as they would have been posted, so that a receiver can be tried with them.",
  },
  {
    run: `post /v1/webhook-endpoints '{ "url": "https://fleet.example.org/hooks/forewheel", "eventTypes": ["vehicle.changed"] }' > endpoint.json
export SECRET=$(json .secret < endpoint.json)`,
  },
  {
    file: "receiver.mjs",
    holds: `import { createHmac, timingSafeEqual } from 'node:crypto';
import { createServer } from 'node:http';

const secret = Buffer.from(process.env.SECRET.slice('whsec_'.length), 'base64');
const seen = new Set(); // in earnest: a table, written in the transaction that does the work

function isGenuine(headers, body) {
  const { 'webhook-id': id, 'webhook-timestamp': at, 'webhook-signature': signatures } = headers;
  if (!(Math.abs(Date.now() / 1000 - Number(at)) < 300)) return false;
  const ours = createHmac('sha256', secret).update(id + '.' + at + '.' + body).digest();
  return String(signatures).split(' ').some((signature) => {
    const theirs = Buffer.from(signature.replace(/^v1,/, ''), 'base64');
    return theirs.length === ours.length && timingSafeEqual(theirs, ours);
  });
}

createServer(async (request, response) => {
  const parts = [];
  for await (const part of request) parts.push(part);
  const body = Buffer.concat(parts).toString(); // the bytes as they came: parsed and written anew they differ
  if (!isGenuine(request.headers, body)) return response.writeHead(401).end();
  const id = request.headers['webhook-id'];
  if (!seen.has(id)) console.log('new:', JSON.parse(body).type);
  seen.add(id);
  response.writeHead(204).end();
}).listen(39477, '127.0.0.1');`,
  },
  {
    say: "Something happens, and a minute passes. The delivery stands in `/v1/messages`; here it is posted to the receiver by hand: as it is, once more, and with one letter changed.",
  },
  {
    run: String.raw`post /v1/vehicles '{ "name": "Single 150", "kind": "motorcycle", "meterUnit": "km" }' > third.json
post /v1/account/clock "{ \"to\": \"$(node -p 'new Date(Date.now() + 60000).toISOString()')\" }" > clock.json
get /v1/messages/$(get '/v1/messages?kind=webhook' | json '.items[0].id') > delivery.json
deliver() { curl -s -o answer.txt -w '%{http_code}\n' --retry 20 --retry-delay 1 --retry-connrefused http://127.0.0.1:39477 --data-binary "$1" \
  -H "webhook-id: $(json '.headers["webhook-id"]' < delivery.json)" \
  -H "webhook-timestamp: $(json '.headers["webhook-timestamp"]' < delivery.json)" \
  -H "webhook-signature: $(json '.headers["webhook-signature"]' < delivery.json)"; }
node receiver.mjs > received.txt &
deliver "$(json .text < delivery.json)"
deliver "$(json .text < delivery.json)"
deliver "$(json .text < delivery.json | tr c k)"
kill $!
cat received.txt`,
    prints: "204\n204\n401\nnew: vehicle.changed",
  },
];

export const EVENTS: Guide = {
  slug: "events",
  title: "Syncing by events",
  about: "A copy of an account that misses nothing, by following the log or by webhooks.",
  sections: [
    { heading: "Following the log", parts: COPY },
    { heading: "Webhooks", parts: WEBHOOKS },
    {
      heading: "What at least once means",
      parts: [
        {
          say: "A delivery is repeated until an answer from 200 to 299 comes within 15 seconds. If yours is lost on the way, the event comes again, under the `webhook-id` that it had. So note the id together with what you did for it, and answer 204 to one that you know. Deliveries may overtake one another: let the resource, not the order of arrival, tell you how things stand.",
        },
      ],
    },
    {
      heading: "What goes wrong",
      parts: [
        {
          say: "Your receiver was down: attempts go on for three days. After that, `POST /v1/webhook-endpoints/{endpointId}/redeliver` with `since` tries again what failed, and the log has all of it in any case. A disabled endpoint (it answered 410, or you disabled it) is told nothing; enabled again it is told what comes from then on, so read the log for what lies between. All signatures fail: the body was changed before it was checked, your clock is off by more than five minutes, or the secret was rotated. 422 for a cursor: it belongs to other filters or to another account; ask with those that it came from, or begin a new copy.",
        },
        {
          run: `get "/v1/events?type=reading.held&cursor=$(get /v1/events | json .nextCursor)" | json '.errors[0].parameter'`,
          prints: "cursor",
        },
      ],
    },
  ],
};
