import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { EventRecord, WebhookEndpoint } from "../records.ts";

/** What is sent to an endpoint: one event, whole. */
export interface WebhookLetter {
  /** The event's id: the same over retries and redelivery, so that a receiver can tell a repeat. */
  webhookId: string;
  event: EventRecord;
  endpoint: Pick<
    WebhookEndpoint,
    "id" | "url" | "secretNumber" | "overlapEndsAt" | "disabledAt" | "disabledWhy"
  >;
}

export interface WebhookRequest {
  url: string;
  headers: Record<string, string>;
  body: string;
}

/** What the receiver answered, or why nothing could be sent to it. */
export type WebhookAnswer =
  | { kind: "answered"; status: number; retryAfterMs: number | null; text: string }
  | { kind: "unreached"; why: string };

export interface WebhookSender {
  /** Whether deliveries really leave; false where they are only kept. */
  readonly relays: boolean;
  send(request: WebhookRequest): Promise<WebhookAnswer>;
}

/** An endpoint with the events that it has not been told of. */
export interface Followed {
  accountId: string;
  endpointId: string;
  eventTypes: string[];
  events: EventRecord[];
  /** The last of these, wanted or not: where the endpoint goes on from. */
  cursor: { xid: string; seq: string };
}

export interface WebhookOutbox {
  /**
   * Turns events that endpoints have not been told of into deliveries, in the order of the log, each
   * once, however many follow at the same time. Answers how many events were read; those of which an
   * older transaction still runs are read later.
   */
  follow(now: Instant, ids: () => string, sandbox: string | null): Promise<number>;
  /** Where the log ends now: what is written from here on lies behind it. */
  endOfLog(): Promise<string>;
  /** Whether an endpoint of the account has not been told of everything before that end. */
  isBehind(accountId: string, end: string): Promise<boolean>;
  /** Deliveries that may be tried now, at most two of one endpoint at once. */
  waiting(
    now: Instant,
    limit: number,
    sandbox: string | null,
  ): Promise<{ accountId: string; messageId: string }[]>;
  /** The next delivery to the endpoint of one that was made; null where none may be tried now. */
  next(accountId: string, messageId: string, now: Instant): Promise<string | null>;
}
