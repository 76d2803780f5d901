import { z } from "zod";
import { id, pageQuery, text, updatedAfter } from "./common.ts";
import { EVENT_TYPE_NAMES, event } from "./mail.ts";
import { stored } from "./people.ts";
import { instant } from "./time.ts";

const eventTypes = z
  .array(z.enum(EVENT_TYPE_NAMES))
  .max(EVENT_TYPE_NAMES.length)
  .meta({
    description: "The types of event that it wants; none for all.",
    example: ["task.ahead", "task.due"],
  });

const url = z
  .url({ protocol: /^https?$/ })
  .max(2000)
  .meta({
    description: "An https: address of the public internet, without user and password.",
    example: "https://fleet.example.org/hooks/forewheel",
  });

export const endpointBody = z
  .strictObject({
    url,
    description: text(500).nullable().default(null),
    eventTypes: eventTypes.default([]),
  })
  .meta({ id: "WebhookEndpointBody" });

export const endpointChange = z.strictObject({
  url,
  description: text(500).nullable().default(null),
  eventTypes: eventTypes.default([]),
  disabled: z.boolean().default(false).meta({
    description: "A disabled endpoint is told nothing; enabled again, what comes from then on.",
  }),
});

export const endpoint = z
  .strictObject({
    ...stored,
    url: z.string(),
    description: z.string().nullable(),
    eventTypes: z.array(z.string()),
    disabledAt: instant.nullable(),
    disabledWhy: z.string().nullable(),
    overlapEndsAt: instant.nullable().meta({
      description: "Until then deliveries are signed with the secret before as well.",
    }),
  })
  .meta({ id: "WebhookEndpoint", description: "Where events are delivered to." });

export const openedEndpoint = endpoint
  .extend({
    secret: z.string().optional().meta({
      description:
        "The secret that deliveries are signed with, shown this once and absent from a repeat: whsec_ and base64.",
    }),
  })
  .meta({ id: "OpenedWebhookEndpoint" });

export const endpointList = pageQuery.extend({ updatedAfter });

export const endpointParams = z.strictObject({ endpointId: id });

export const rotation = z
  .strictObject({ overlapMinutes: z.int().min(0).max(43_200).default(1440) })
  .meta({ id: "WebhookSecretRotation" });

export const redeliverBody = z
  .strictObject({
    since: instant.meta({ description: "Deliveries made since then that failed are tried again." }),
  })
  .meta({ id: "Redelivery" });

export const redelivered = z.strictObject({ count: z.int() }).meta({ id: "Redelivered" });

/** What an endpoint is posted. */
export const webhookPayload = event
  .extend({
    timestamp: instant.meta({ description: "The same as at, under the name of the standard." }),
    payloadVersion: z.literal(1),
  })
  .meta({ id: "WebhookPayload", description: "An event as it is delivered." });
