import { sandboxNamed } from "./begin.ts";
import type { Guide } from "./guide.ts";

export const APP: Guide = {
  slug: "app",
  title: "An app with users of its own",
  about:
    "Your server keeps riders and machines already, and asks this service when work falls due.",
  sections: [
    {
      heading: "An account for each customer",
      parts: [
        {
          say: "Your server holds the operator's token and makes an account for each of its customers: a club, a rental, a single rider. The account's first key may do everything; it is shown once. Keep it as you keep passwords. Accounts see nothing of each other.",
        },
        sandboxNamed("Harbour hire"),
        {
          say: "Leave `sandbox` and `clock` out for the real one. With an `Idempotency-Key` you can send the request again after a broken connection: no second account is made. The repeat does not show the key again, so where the first answer was lost with the key in it, make the account anew under another Idempotency-Key.",
        },
      ],
    },
    {
      heading: "Members and machines under your own ids",
      parts: [
        {
          say: "Give each thing your own id as `externalId`. Then you need to store none of ours, and can send everything again whenever you are not sure.",
        },
        {
          run: `RIDER=$(post /v1/members '{ "name": "Toni", "email": "toni@example.org", "role": "rider",
  "timeZone": "Europe/Berlin", "locale": "de", "externalId": "user-17" }' | json .id)
V=$(post /v1/vehicles '{ "name": "Single 150", "kind": "motorcycle", "meterUnit": "km",
  "inServiceOn": "2026-04-01", "responsibleMemberId": "'$RIDER'", "externalId": "bike-4" }' | json .id)
get "/v1/vehicles?externalId=bike-4" | json '.items.map(({ name, status }) => name + ": " + status)'`,
          prints: "[ 'Single 150: inUse' ]",
        },
        {
          say: "A key with `admin` vouches for the member's address. Without it the member gets one mail and must confirm the address before reminders go there.",
        },
        {
          run: `post /v1/members '{ "name": "Toni", "email": "other@example.org", "externalId": "user-17" }' | json .detail`,
          prints:
            'The externalId "user-17" is taken by one with another email. Send the same content again, or another externalId.',
        },
        {
          say: "The same content answers 200 with what is there; other content answers 409, as here. To change something, read it and send its `ETag` back in `If-Match`.",
        },
      ],
    },
    {
      heading: "Changing what others may have changed",
      parts: [
        {
          run: String.raw`TAG=$(curl -sI $API/v1/vehicles/$V -H "Authorization: Bearer $KEY" | tr -d '\r' | sed -n 's/^etag: //p')
change() { curl -s -X PATCH $API/v1/vehicles/$V -H "Authorization: Bearer $KEY" -H "If-Match: $TAG" \
  -H 'Content-Type: application/merge-patch+json' -d "$1"; }
change '{ "group": "East quay" }' | json .group
change '{ "group": "West quay" }' | json .title`,
          prints: "East quay\nIt has changed since it was read",
        },
        {
          say: "The second change came with the tag of the version before the first, and was refused with 412. Read again, look at what has changed, and send yours with the new tag.",
        },
      ],
    },
    {
      heading: "A key for each user's device",
      parts: [
        {
          say: "Never hand out the account's own key. A key that is bound to a member has that member's rights: a rider's shows the rider's machines and nothing else.",
        },
        {
          run: `PHONE=$(post /v1/api-keys '{ "name": "Phone of user-17", "scopes": ["read", "readings:write"],
  "memberId": "'$RIDER'" }' | json .key)
curl -s $API/v1/members -H "Authorization: Bearer $PHONE" | json '.items.map(({ name }) => name)'`,
          prints: "[ 'Toni' ]",
        },
        {
          say: "When a phone is lost, revoke its key: find it by `GET /v1/api-keys?memberId=` and `DELETE` it. To renew a key without a gap, `POST /v1/api-keys/{keyId}/rotate`: the old one works on for as long as you say.",
        },
      ],
    },
    {
      heading: "What goes wrong",
      parts: [
        {
          say: "Every failure is a problem (RFC 9457): `type` leads to a page with cause and cure, and `errors` names each field. 401: the key is wrong, expired or revoked. 403: it lacks a scope, or its member's role does not reach. 404: no such thing, or none that the key may see. 422: correct the fields that `errors` names; sending it again unchanged is of no use. 429 and 503: wait as long as `Retry-After` says, and send it again. Tell your users `detail`; keep `instance` for whoever runs the service.",
        },
      ],
    },
  ],
};
