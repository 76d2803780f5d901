import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type Deps, fresh } from "../deps.ts";
import type { EventRecord } from "../records.ts";
import { LONGEST_MS } from "./retry-schedule.ts";

/** One event for one endpoint, ready to be delivered. */
export function deliveryOf(
  endpointId: string,
  event: EventRecord,
  now: Instant,
  deps: Pick<Deps, "ids">,
) {
  return {
    ...fresh(deps, now),
    ...anew(now),
    memberId: null,
    endpointId,
    kind: "webhook" as const,
    dedupe: `webhook:${endpointId}:${event.id}`,
    content: { event },
    messageIdHeader: event.id,
    lastAnswer: null,
    address: null,
    subject: event.type,
    text: null,
    html: null,
    headers: null,
    attachments: [],
    sentAt: null,
    reminderIds: [],
  };
}

/** As it stands before its first attempt. */
export function anew(now: Instant) {
  return {
    status: "waiting" as const,
    attempts: 0,
    nextAttemptAt: now,
    giveUpAt: now + LONGEST_MS,
    updatedAt: now,
  };
}
