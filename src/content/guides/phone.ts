import { sandboxNamed } from "./begin.ts";
import type { Guide } from "./guide.ts";

export const PHONE: Guide = {
  slug: "phone",
  title: "A rider's phone",
  about: "A rider types what the meter shows, and sees what falls due next.",
  sections: [
    {
      heading: "A machine, its work, and a key for one rider",
      parts: [
        {
          say: "The phone gets a key of its own, bound to the rider. It reads and posts for that rider's machines, and can do nothing else, so that a lost phone gives little away.",
        },
        sandboxNamed("Harbour riders"),
        {
          run: `RIDER=$(post /v1/members '{ "name": "Toni", "email": "toni@example.org" }' | json .id)
V=$(post /v1/vehicles '{ "name": "Single 150", "kind": "motorcycle", "meterUnit": "km", "inServiceOn": "2026-04-01",
  "declaredPerYear": 6000, "responsibleMemberId": "'$RIDER'" }' | json .id)
post /v1/vehicles/$V/tasks '{ "title": "Drive chain", "lastWork": "never", "every": { "distance": { "km": 1000, "mi": 600 } } }' > task.json
ADMIN=$KEY
KEY=$(post /v1/api-keys '{ "name": "Phone", "scopes": ["read", "readings:write"], "memberId": "'$RIDER'" }' | json .key)
get /v1/vehicles | json '.items.map(({ name }) => name)'`,
          prints: "[ 'Single 150' ]",
        },
      ],
    },
    {
      heading: "Posting a reading",
      parts: [
        {
          say: "The value alone is enough: `at` is now, and the unit is the meter's own. The answer tells what falls due next. Show the range, from `likely.from` to `likely.to`, and not one date: nobody knows how the rider will ride.",
        },
        {
          run: `post /v1/vehicles/$V/readings '{ "value": 430, "externalId": "phone-1:1" }' | json '.next.map(({ title, due, forecast }) => [title, due.distance, forecast.likely.from < forecast.likely.to])'`,
          prints: "[ [ 'Drive chain', 1000, true ] ]",
        },
      ],
    },
    {
      heading: "When a reading is held",
      parts: [
        {
          say: "A reading that makes no sense is kept, and not believed: it answers 201 like any other, with `status` `held`. Ask the rider there and then, while the machine is at hand.",
        },
        {
          run: String.raw`move() { curl -s $API/v1/account/clock -H "Authorization: Bearer $ADMIN" -H 'Content-Type: application/json' -d "{ \"to\": \"$1\" }" > clock.json; }
move 2026-05-08T18:00:00Z
post /v1/vehicles/$V/readings '{ "value": 5100, "externalId": "phone-1:2" }' > held.json
json .status < held.json
json '.reasons.map(({ code, likelierValue }) => [code, likelierValue])' < held.json`,
          prints: "held\n[ [ 'digitDoubled', 510 ] ]",
        },
        {
          say: "Show `reasons[].detail` and offer `likelierValue`. If the rider mistyped, correct it: the slip stays readable as `superseded`.",
        },
        {
          run: `post /v1/vehicles/$V/readings/$(json .id < held.json)/correct '{ "value": 510 }' | json .status`,
          prints: "accepted",
        },
        {
          say: "If the meter really shows it, confirm it with an empty object at `.../confirm`. It counts from then on and is not held again. A held reading that nobody settles counts for nothing, and forecasts grow wider with each day without one that counts.",
        },
      ],
    },
    {
      heading: "What goes wrong",
      parts: [
        {
          say: "No network: see the guide on posting offline. 404 for a machine that the rider knows: it was given to another member, or removed; read the list of vehicles again. 422 at `#/at`: the phone's clock runs ahead. 401: the key was revoked, so the rider must sign in to your app again.",
        },
        {
          run: `post /v1/vehicles/$V/readings '{ "value": 600, "at": "2027-01-01T00:00:00Z" }' | json '.errors[0].pointer'`,
          prints: "#/at",
        },
      ],
    },
  ],
};
