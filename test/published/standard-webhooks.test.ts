import { expect, test } from "vitest";
import { WebhookSecrets } from "../../src/application/webhooks/webhook-secrets.ts";
import { signWith } from "../../src/outbound/sign-webhook.ts";

/** Secrets that are given instead of derived, to sign with a published one. */
class Given extends WebhookSecrets {
  readonly given: string;
  constructor(given: string) {
    super("");
    this.given = given;
  }
  override of(): string {
    return this.given;
  }
}

const ENDPOINT = {
  ...{ id: "e", url: "https://example.org", secretNumber: 1, overlapEndsAt: null },
  ...{ disabledAt: null, disabledWhy: null },
};

// Test vector of the Standard Webhooks reference libraries (secret, id, timestamp, payload, signature).
test("a delivery is signed as the reference libraries of Standard Webhooks sign it", () => {
  const sign = signWith(new Given("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"));
  const event = { id: "1", type: "t", vehicleId: null, resourceId: "1", data: {}, at: 0 };
  const letter = { webhookId: "msg_p5jXN8AQM9LWM0D4loKWxJek", event, endpoint: ENDPOINT };
  const signed = { body: '{"test": 2432232314}', at: 1_614_265_330_000 };
  expect(sign(letter, signed, signed.at)).toBe("v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=");
});

// Standard Webhooks 1.0.0, "Signature scheme": symmetric secrets have 24 to 64 bytes, base64 after whsec_.
test("derived secrets have the form of the standard, one for each endpoint and number", () => {
  const secrets = new WebhookSecrets("s".repeat(32));
  const made = [1, 2].flatMap((secretNumber) =>
    ["a", "b"].map((id) => secrets.of({ id, secretNumber })),
  );
  for (const secret of made) {
    expect(Buffer.from(secret.replace(/^whsec_/, ""), "base64")).toHaveLength(32);
  }
  expect(new Set(made).size).toBe(4);
});

test("a rotated secret signs until its overlap ends", () => {
  const secrets = new WebhookSecrets("s".repeat(32));
  const rotated = { id: "a", secretNumber: 2, overlapEndsAt: 1_000 };
  expect(secrets.inForce(rotated, 999)).toHaveLength(2);
  expect(secrets.inForce(rotated, 1_000)).toEqual([secrets.of(rotated)]);
});
