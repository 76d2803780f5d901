import type { WebhookEndpoint } from "../../application/records.ts";
import type { WebhookSecrets } from "../../application/webhooks/webhook-secrets.ts";
import { shownInstantOrNull, shownStored } from "./shown.ts";

export function shownEndpoint(endpoint: WebhookEndpoint) {
  const { url, description, eventTypes, disabledAt, disabledWhy, overlapEndsAt } = endpoint;
  return shownStored(endpoint, {
    ...{ url, description, eventTypes, disabledWhy },
    disabledAt: shownInstantOrNull(disabledAt),
    overlapEndsAt: shownInstantOrNull(overlapEndsAt),
  });
}

/** With its secret, which is shown where it is made and nowhere else. */
export function openedEndpoint(endpoint: WebhookEndpoint, secrets: WebhookSecrets) {
  return { ...shownEndpoint(endpoint), secret: secrets.of(endpoint) };
}
