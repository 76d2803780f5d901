import { Webhook } from "standardwebhooks";
import type { Sign } from "../application/webhooks/deliver-webhook.ts";
import type { WebhookSecrets } from "../application/webhooks/webhook-secrets.ts";

/** Signs by Standard Webhooks 1.0.0, with every secret in force: a receiver knows one of them. */
export function signWith(secrets: WebhookSecrets): Sign {
  return ({ webhookId, endpoint }, { body, at }, now) =>
    secrets
      .inForce(endpoint, now)
      .map((secret) => new Webhook(secret).sign(webhookId, new Date(at), body))
      .join(" ");
}
