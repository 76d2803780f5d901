import { EVENT_TYPES } from "../application/event-types.ts";
import { EXAMPLE } from "./examples.ts";
import { webhookPayload } from "./schemas/webhook.ts";

const HEADERS = [
  ["webhook-id", "The event's id: the same over retries and redelivery."],
  ["webhook-timestamp", "Seconds since 1970 at which it was signed."],
  [
    "webhook-signature",
    "v1, and base64 of an HMAC-SHA-256 over id, timestamp and body, joined by dots. During a rotation two, apart by a space.",
  ],
] as const;

/** What endpoints are posted, for the `webhooks` of the description: one entry for each type of event. */
export const WEBHOOKS = Object.fromEntries(
  Object.entries(EVENT_TYPES).map(([type, { tells, data }]) => [
    type,
    {
      post: {
        operationId: `on${camel(type)}`,
        tags: ["Webhook endpoint"],
        summary: tells,
        description: `${tells} Delivered at least once, signed by Standard Webhooks 1.0.0; any answer from 200 to 299 within 15 seconds takes it.`,
        security: [],
        parameters: HEADERS.map(([name, description]) => ({
          ...{ name, in: "header", required: true, description },
          schema: { type: "string" },
        })),
        requestBody: {
          required: true,
          content: {
            "application/json": { schema: webhookPayload, example: example(type, data) },
          },
        },
        responses: {
          "200": { description: "Taken." },
          "410": { description: "Gone: the endpoint is disabled." },
        },
      },
    },
  ]),
);

function example(type: string, data: object) {
  return {
    ...{ type, timestamp: EXAMPLE.at, payloadVersion: 1, id: EXAMPLE.id },
    ...{ vehicleId: EXAMPLE.vehicleId, resourceId: EXAMPLE.id, at: EXAMPLE.at, data },
  };
}

function camel(type: string): string {
  return type
    .split(".")
    .map((part) => part.charAt(0).toUpperCase() + part.slice(1))
    .join("");
}
