import type { Instant, PlainDate } from "../../domain/calendar/plain-date.ts";
import type { Listed, LoggedWorkView, UndeliveredView } from "../digest-view.ts";

/** What happened since the last digest that no machine tells by itself. */
export interface DigestNews {
  work: Listed<LoggedWorkView>;
  undelivered: Listed<UndeliveredView>;
  refused: Listed<UndeliveredView>;
  failedDeliveries: number;
}

/** When each member's next digest is written, and what was written before. */
export interface DigestStore {
  /** Keeps the moment; null: none is written. One that is due at `now` stays for the sweep to take. */
  plan(memberId: string, at: Instant | null, now: Instant): Promise<void>;
  /**
   * Takes a digest that is due off the plan and answers when it was planned for; null where it is
   * not due or somebody else is at it.
   */
  take(memberId: string, now: Instant): Promise<Instant | null>;
  /** The first day of the span that the member's newest digest is about; null before the first. */
  lastFrom(memberId: string): Promise<PlainDate | null>;
  /** When the member's newest digest was sent; null before the first. */
  lastSentAt(memberId: string): Promise<Instant | null>;
  /** Calls off digests that wait to be sent, with the reason. */
  callOff(memberId: string, why: string, now: Instant): Promise<void>;
  /** For one member's machines and mail, or with null for all of the account. */
  news(since: Instant, memberId: string | null): Promise<DigestNews>;
}
