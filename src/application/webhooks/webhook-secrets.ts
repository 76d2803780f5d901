import { createHmac } from "node:crypto";
import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { WebhookEndpoint } from "../records.ts";

type Secretive = Pick<WebhookEndpoint, "id" | "secretNumber" | "overlapEndsAt">;

/**
 * The secrets that deliveries are signed with, in the form of Standard Webhooks 1.0.0: `whsec_` and
 * base64 of 32 bytes. They are derived from the service's own, so that none is stored.
 */
export class WebhookSecrets {
  readonly #secret: string;

  constructor(secret: string) {
    this.#secret = secret;
  }

  of({ id, secretNumber }: Pick<Secretive, "id" | "secretNumber">): string {
    // The text before the id keeps these apart from all else that the secret signs.
    const mac = createHmac("sha256", this.#secret).update(`webhook:${id}:${secretNumber}`);
    return `whsec_${mac.digest("base64")}`;
  }

  /** Those in force at the moment: after a rotation the one before as well, until its overlap ends. */
  inForce(endpoint: Secretive, now: Instant): string[] {
    const { secretNumber, overlapEndsAt } = endpoint;
    const present = this.of(endpoint);
    if (overlapEndsAt === null || overlapEndsAt <= now || secretNumber === 1) return [present];
    return [present, this.of({ ...endpoint, secretNumber: secretNumber - 1 })];
  }
}
