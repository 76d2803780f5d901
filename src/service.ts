import type { FastifyBaseLogger } from "fastify";
import type { Redis } from "ioredis";
import { uuidv7 } from "uuidv7";
import { CalendarAddresses } from "./application/calendar-addresses.ts";
import { DeletionProofs } from "./application/deletion-proofs.ts";
import { Links } from "./application/links.ts";
import { type ClockDeps, moveClock } from "./application/mail/move-clock.ts";
import type { Sender } from "./application/outbox-ports.ts";
import type { WebhookSender } from "./application/webhooks/ports.ts";
import { WebhookSecrets } from "./application/webhooks/webhook-secrets.ts";
import type { ApiConfig } from "./config.ts";
import { accountErasureOn } from "./database/account-erasure.ts";
import { originsAllowed } from "./database/allowed-origins.ts";
import { followedCalendars } from "./database/calendar.ts";
import type { Connections } from "./database/client.ts";
import { isAway } from "./database/errors.ts";
import { findPresentedKey, keyMarker, type PresentedKey } from "./database/keys.ts";
import { outboxOn } from "./database/outbox.ts";
import { rateCountsOn } from "./database/rate-counts.ts";
import { databaseOn } from "./database/tenancy.ts";
import { webhookOutboxOn } from "./database/webhook-outbox.ts";
import { buildApp, type HttpApp } from "./http/app.ts";
import type { KeyRecord } from "./http/caller.ts";
import type { HttpPorts } from "./http/options.ts";
import { registerPages } from "./http/pages/register-pages.ts";
import { DEFAULT_RATES, type RateOptions } from "./http/plugins/rate-options.ts";
import { ROUTES } from "./http/routes/all.ts";
import type { Services } from "./http/services.ts";
import { TAGS } from "./http/tags.ts";
import { WEBHOOKS } from "./http/webhook-document.ts";
import { mailDomain } from "./mail-domain.ts";
import { signWith } from "./outbound/sign-webhook.ts";
import { mailRenderer } from "./render/mail/renderer.ts";
import { VERSION } from "./version.ts";

export interface ServiceSettings
  extends Pick<ApiConfig, "baseUrl" | "signingSecret" | "operatorToken" | "mailFrom"> {
  /** Whether webhooks may be given private addresses, and without TLS; not told, they may not. */
  webhookAllowPrivate?: boolean;
  rates?: Partial<RateOptions>;
  redis?: Redis;
  logger?: FastifyBaseLogger;
  /** Holds every answer against its contract: for tests. */
  checkAnswers?: boolean;
  /** The compiled `http/beside/thread.ts`, where this runs uncompiled: for tests. */
  threadProgram?: URL;
}

/** A sandbox's mail is kept and never sent: to be written into the row is to be captured. */
const CAPTURING: Sender = {
  relays: false,
  async send() {
    return { kind: "accepted", answer: "Captured: a sandbox's mail is not sent." };
  },
};
/** So are its webhooks: a receiver's check of signatures can be tried with what is kept. */
const KEEPING: WebhookSender = {
  relays: false,
  async send() {
    const text = "Captured: a sandbox's deliveries are not sent.";
    return { kind: "answered", status: 200, retryAfterMs: null, text };
  },
};
const CAPTURE_MS = 30_000;

/** The API, wired to its database and not yet listening. */
export async function buildService(
  settings: ServiceSettings,
  connections: Connections,
  onError: (error: Error) => void,
): Promise<HttpApp> {
  const services = servicesOn(settings, connections);
  const built = await buildApp(ROUTES, services, {
    baseUrl: settings.baseUrl,
    ports: portsOn(connections, onError),
    signingSecret: settings.signingSecret,
    operatorToken: settings.operatorToken,
    now: Date.now,
    rates: {
      ...DEFAULT_RATES,
      ...settings.rates,
      ...(settings.redis ? { redis: settings.redis } : { counts: rateCountsOn(connections) }),
    },
    description: { version: VERSION, tags: TAGS, webhooks: WEBHOOKS },
    ...(settings.logger && { logger: settings.logger }),
    ...(settings.checkAnswers && { checkAnswers: true }),
    ...(settings.threadProgram && { threadProgram: settings.threadProgram }),
  });
  await registerPages(built.app, services);
  return built;
}

function servicesOn(settings: ServiceSettings, connections: Connections): Services {
  const webhookSecrets = new WebhookSecrets(settings.signingSecret);
  const deps: ClockDeps = {
    database: databaseOn(connections),
    outbox: outboxOn(connections),
    sender: CAPTURING,
    renderer: mailRenderer,
    links: new Links(settings.signingSecret, settings.baseUrl),
    ids: uuidv7,
    clock: Date.now,
    mailDomain: mailDomain(settings.mailFrom.address),
    leaseMs: CAPTURE_MS,
    longestSendMs: 1_000,
    webhookOutbox: webhookOutboxOn(connections),
    webhookSender: KEEPING,
    sign: signWith(webhookSecrets),
    webhookLeaseMs: CAPTURE_MS,
    longestDeliveryMs: 1_000,
  };
  return {
    ...deps,
    webhookSecrets,
    webhookAllowPrivate: settings.webhookAllowPrivate ?? false,
    calendars: new CalendarAddresses(settings.signingSecret, settings.baseUrl),
    deletionProofs: new DeletionProofs(settings.signingSecret),
    erasure: accountErasureOn(connections),
    followedCalendar: followedCalendars(connections),
    moveClock: (accountId, to) => moveClock(accountId, to, deps),
  };
}

function portsOn(connections: Connections, onError: (error: Error) => void): HttpPorts {
  return {
    async findKey(asked) {
      const { key, counted, refused } = await findPresentedKey(connections, asked);
      return { record: key && recordOf(key), counted, refused };
    },
    allowsOrigin: originsAllowed(connections, onError),
    isAway,
    keyUsed: keyMarker(connections, onError),
    async ready() {
      try {
        // Not before the database is migrated: this is the last table that a migration makes.
        await connections.pool.query("select from audit limit 1");
        return true;
      } catch {
        return false;
      }
    },
  };
}

/** The key as the HTTP layer knows it; one that was revoked is as good as none. */
function recordOf(key: PresentedKey): KeyRecord | null {
  if (key.revokedAt !== null && key.revokedAt <= Date.now()) return null;
  const { accountId, keyId, scopes, secretHash, expiresAt, member, vehicleIds } = key;
  return {
    ...{ accountId, keyId, scopes, secretHash, expiresAt, originAllowed: key.originAllowed },
    ...(member && { memberId: member.id, role: member.role }),
    ...(vehicleIds && { vehicleIds }),
    ...(key.shortLived && { shortLived: true as const }),
  };
}
