import type { Instant } from "../domain/calendar/plain-date.ts";
import type { Account, Attachment, Member, Message, Reminder } from "./records.ts";

/** A message with all that sending it needs to know. */
export interface Letter {
  message: Pick<Message, "id" | "kind" | "content" | "messageIdHeader" | "giveUpAt">;
  account: Account;
  /** null where whom it was for is gone. */
  member: Member | null;
  /** The machines that its reminders are about, in the order of their ids. */
  vehicleIds: string[];
}

/** A reminder that an outcome has settled. */
export type SettledReminder = Pick<Reminder, "id" | "vehicleId" | "taskId" | "stage">;

/** How messages travel; each channel has a queue of its own, so that none holds up the other. */
export type Channel = "mail" | "webhook";

/** A message that a worker holds: nobody else sends it until the lease ends. */
export interface Claimed {
  accountId: string;
  messageId: string;
  kind: Message["kind"];
  leaseToken: string;
  attempts: number;
  /** Attempts that ended without an outcome. */
  brokenOff: number;
  /** Whether it may have been handed over before: its outcome was lost. */
  again: boolean;
  /** When the message was written. */
  since: Instant;
  /** Whether the mail server could not be reached when it was last tried. */
  relayFailed: boolean;
}

export type Outcome =
  | { status: "sent"; answer: string }
  | { status: "failed"; answer: string }
  | { status: "suppressed"; answer: string }
  | {
      status: "waiting" | "unknown";
      answer: string;
      nextAttemptAt: Instant;
      /** No server was reached: the attempt does not count. */
      uncounted?: true;
      /** It could not even be made: counts as broken off. */
      brokenOff?: true;
    };

/** What was mailed, kept with the message. */
export interface Rendered {
  subject: string;
  text: string;
  /** null for a webhook's delivery. */
  html: string | null;
  headers: Record<string, string>;
  attachments: Attachment[];
}

export interface Sent {
  rendered: Rendered;
  address: string;
  /** By reminder: the day on which the due point was expected when it was mailed. */
  expectedDays: { id: string; day: number | null }[];
}

/**
 * The worker's view of what is to be sent, over all accounts that live on real time, or over one
 * sandbox. `now` is the time that plans and attempts go by; leases go by the database's own clock.
 */
export interface Outbox {
  /** The database's clock. */
  time(): Promise<Instant>;
  /** Machines whose plan is to be made again now. */
  toReplan(
    now: Instant,
    limit: number,
    sandbox: string | null,
  ): Promise<{ accountId: string; vehicleId: string }[]>;
  /** Puts a machine off that could not be planned, so that it does not hold up the others. */
  postponeReplan(accountId: string, vehicleId: string, until: Instant): Promise<void>;
  /** Gathers reminders that are due into messages; answers how many reminders were taken. */
  gather(
    now: Instant,
    ids: () => string,
    messageDomain: string,
    sandbox: string | null,
  ): Promise<number>;
  /** Members whose digest is to be written now. */
  digestsDue(
    now: Instant,
    limit: number,
    sandbox: string | null,
  ): Promise<{ accountId: string; memberId: string }[]>;
  /** One that cannot be written is tried again at the instant. */
  postponeDigest(accountId: string, memberId: string, at: Instant): Promise<void>;
  /** Messages of a channel that nobody holds and that may be tried now, oldest first. */
  waiting(
    channel: Channel,
    now: Instant,
    limit: number,
    sandbox: string | null,
  ): Promise<{ accountId: string; messageId: string }[]>;
  /**
   * Takes a message that nobody holds and whose time has come. Where it would go to the mail server
   * (`relays`) and that is down, only a probe takes it, and then before its time.
   */
  claim(
    accountId: string,
    messageId: string,
    leaseMs: number,
    now: Instant,
    how: { relays: boolean; probe: boolean },
  ): Promise<Claimed | null>;
  /** The mail server could not be reached. After three times in a row nothing is claimed but a probe. */
  noteUnreachable(): Promise<void>;
  noteReached(): Promise<void>;
  /** A message to try a server with that is taken to be down, every 30 s over all workers. */
  takeProbe(): Promise<{ accountId: string; messageId: string } | null>;
  /** Whether the lease of the claim still has `ms` to run. */
  stillHeld(claimed: Claimed, ms: number): Promise<boolean>;
  /** The next moment at which something is to be done in a sandbox; null when nothing is planned. */
  nextMoment(sandbox: string): Promise<Instant | null>;
  /** Drops answers that are kept no longer, short-lived keys a day after their end, counts of ended windows. */
  forgetExpired(): Promise<void>;
  /** How delivery stands over all accounts on real time. */
  health(now: Instant): Promise<Health>;
}

/** Counts of what is due and not done, over all accounts that live on real time. */
export interface Health {
  /** By channel: messages that are due, and for how long the oldest of them has been, in ms. */
  channels: Record<Channel, { waiting: number; oldestMs: number }>;
  /** Messages whose outcome was lost, to be handed over again. */
  unknown: number;
  /** Reminders whose hour passed ten minutes ago and that are in no message. */
  overlooked: number;
  /** Machines that should have been planned again ten minutes ago. */
  toReplan: number;
  relayDown: boolean;
  onHold: boolean;
  /** When the last audit ended; null before the first. */
  auditedAt: Instant | null;
  /** What it found overlooked. */
  auditFound: number | null;
}

/** One email, ready to be handed over. */
export interface Mail extends Rendered {
  to: { name: string; address: string };
  messageId: string;
}

/** What the mail server said, told apart by what follows from it. */
export type Delivery =
  | { kind: "accepted"; answer: string }
  /** To be tried again; `reachable` is false where no server answered at all. */
  | { kind: "later"; answer: string; reachable: boolean }
  | { kind: "refused"; answer: string; mailboxUnknown: boolean }
  /** The answer to the whole message was lost: it may have been taken. */
  | { kind: "unknown"; answer: string };

export interface Sender {
  /** Whether mail goes to the server that all workers share; false where it is only kept. */
  readonly relays: boolean;
  send(mail: Mail): Promise<Delivery>;
}
