import type { Instant, PlainDate } from "../domain/calendar/plain-date.ts";
import type { Told } from "../domain/reminder/tell.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import type { DigestStore } from "./mail/digest-store.ts";
import type {
  Account,
  ApiKey,
  Attachment,
  EventRecord,
  LayUp,
  Member,
  Message,
  MeterChangeRecord,
  MeterName,
  Reading,
  Reminder,
  Task,
  Vehicle,
  WorkedTask,
  WorkRecord,
} from "./records.ts";

/** Makes UUIDv7s, rising in the order in which they are asked for. */
export type IdMaker = () => string;

/** Where a list goes on: the sort key and id of the last item that was shown. */
export interface Position {
  key: number | string;
  id: string;
}

export interface PageRequest {
  limit: number;
  after: Position | null;
}

export interface PageOf<T> {
  items: T[];
  /** null on the last page. */
  next: Position | null;
}

/** The fields of a new resource: the store adds version 1. */
export type New<T extends { version: number }> = Omit<T, "version">;

/**
 * What every stored resource can do. Each method sees the rows of the transaction's account alone;
 * another account's id is a missing id.
 */
export interface Collection<T extends { id: string; version: number }, Filter> {
  find(id: string): Promise<T | null>;
  list(filter: Filter, page: PageRequest): Promise<PageOf<T>>;
  insert(row: New<T>): Promise<T>;
  /** Writes the given fields and raises the version; null when the row stands at another version. */
  update(id: string, version: number, fields: Partial<New<T>>): Promise<T | null>;
  remove(id: string, version: number): Promise<boolean>;
}

export interface TimeFilter {
  from?: Instant | undefined;
  to?: Instant | undefined;
  updatedAfter?: Instant | undefined;
}

export interface MemberFilter {
  externalId?: string | undefined;
  updatedAfter?: Instant | undefined;
}

export interface VehicleFilter {
  externalId?: string | undefined;
  updatedAfter?: Instant | undefined;
  responsibleMemberId?: string | undefined;
  ids?: string[] | undefined;
}

export interface OfVehicle extends TimeFilter {
  vehicleId: string;
  status?: string | undefined;
  externalId?: string | undefined;
}

export interface LayUpFilter extends TimeFilter {
  vehicleId?: string | undefined;
  vehicleIds?: string[] | undefined;
}

export interface ReadingFilter extends OfVehicle {
  meter?: MeterName | undefined;
}

export interface ReminderFilter extends TimeFilter {
  vehicleIds?: string[] | undefined;
  taskId?: string | undefined;
  memberId?: string | undefined;
  status?: string | undefined;
  stage?: string | undefined;
}

export interface MessageFilter extends TimeFilter {
  memberId?: string | undefined;
  status?: string | undefined;
  /** Those that speak of one of these vehicles. */
  vehicleIds?: string[] | undefined;
  /** Those that speak of no other vehicle. */
  onlyVehicleIds?: string[] | undefined;
}

export interface EventFilter {
  vehicleIds?: string[] | undefined;
  type?: string | undefined;
}

/** Events read from the log: `last` is where to go on from, null when none was read. */
export interface EventsRead {
  items: EventRecord[];
  last: Position | null;
  more: boolean;
}

/** A key as it is stored: the hash of its secret, never the secret. */
export interface StoredKey extends ApiKey {
  secretHash: Uint8Array;
}

/** A reading among those that estimates and the judgement of new readings use. */
export type KnownReading = Omit<Reading, "vehicleId">;

/** The newest standing work of a task. */
export interface LoggedWork {
  recordId: string;
  on: PlainDate;
  at: Instant;
  distance: number | null;
  hours: number | null;
  madeOn: PlainDate | null;
}

export type KnownTask = Task & {
  logged: LoggedWork | null;
  /** What followers were last told of it; null for a task that is new. */
  told: Told | null;
};

export type KnownReminder = Omit<Reminder, "createdAt" | "updatedAt">;

/** One machine with all that its due points, forecast and reminders follow from. */
/** Another machine of the account, as far as it lends its habits to a new one. */
export interface FleetMachine {
  unit: DistanceUnit;
  /** Instants and totals of its newest accepted distance readings. */
  readings: [at: Instant, total: number][];
}

export interface Machine {
  account: Account;
  vehicle: Vehicle;
  responsible: Member;
  meterChanges: Pick<MeterChangeRecord, "id" | "meter" | "at" | "before" | "after">[];
  layUps: Pick<LayUp, "id" | "from" | "to" | "reason">[];
  /** Newest first, superseded ones left out; as many as estimates use. */
  readings: KnownReading[];
  /** Totals of the earliest accepted reading of each meter. */
  firstTotals: Record<MeterName, number | null>;
  /** Others of its kind in the account, for a machine with few readings; else none. */
  fleet: FleetMachine[];
  tasks: KnownTask[];
  /** Those still to come, and of those settled the ones of the last 400 days. */
  reminders: KnownReminder[];
  /** When the plan is to be made again without any occasion. */
  replanAt: Instant | null;
  /** By which code and zone rules the plan was made; see `planned-by.ts`. */
  plannedBy: string | null;
}

export interface ReminderMove {
  id: string;
  plannedFor: Instant;
  why: Record<string, unknown>;
}

export interface ReminderEnd {
  id: string;
  why: Record<string, unknown>;
}

/** What a verb leaves behind about one machine, written in one statement. */
export interface MachineChanges {
  readings?: New<Reading>[];
  remindersAdded?: New<Reminder>[];
  remindersMoved?: ReminderMove[];
  remindersCancelled?: ReminderEnd[];
  events?: EventRecord[];
  /** What followers are told of tasks from now on; null where nothing is in force any more. */
  told?: { taskId: string; told: Told | null }[];
  replan?: { vehicleId: string; at: Instant; plannedBy: string };
}

export interface MachineStore {
  /** The machine, its vehicle's row locked until the transaction ends where `lock` is set. */
  load(vehicleId: string, lock: boolean): Promise<Machine | null>;
  /** Many machines at once, unlocked, in the order of their ids. */
  loadMany(filter: {
    ids?: string[] | undefined;
    after: string | null;
    limit: number;
  }): Promise<Machine[]>;
  write(changes: MachineChanges, at: Instant): Promise<void>;
}

/** Everything of one account inside one transaction: all of it is written or nothing. */
export interface Transaction {
  readonly accountId: string;
  accounts: {
    find(): Promise<Account | null>;
    insert(row: New<Account>): Promise<Account>;
    update(version: number, fields: Partial<New<Account>>): Promise<Account | null>;
  };
  members: Collection<Member, MemberFilter>;
  owner(): Promise<Member>;
  keys: Collection<StoredKey, Record<string, never>>;
  vehicles: Collection<Vehicle, VehicleFilter>;
  meterChanges: Collection<MeterChangeRecord, OfVehicle>;
  layUps: Collection<LayUp, LayUpFilter>;
  readings: Collection<Reading, ReadingFilter>;
  readingByExternalId(externalId: string): Promise<Reading | null>;
  /** Totals of readings worked out anew after a change of the meter. */
  setTotals(totals: { id: string; total: number }[], at: Instant): Promise<void>;
  tasks: Collection<Task, OfVehicle>;
  work: Collection<WorkRecord, OfVehicle>;
  setWorkedTasks(workRecordId: string, tasks: WorkedTask[]): Promise<void>;
  reminders: Collection<Reminder, ReminderFilter>;
  messages: Collection<Message, MessageFilter>;
  messageByDedupe(dedupe: string): Promise<Message | null>;
  events: { list(filter: EventFilter, page: PageRequest): Promise<EventsRead> };
  digests: DigestStore;
  /**
   * Notes what came of sending a message, and on the reminders that it carries, unless somebody else
   * took the message over; answers whether it was noted.
   */
  noteOutcome(
    claimed: Claimed,
    outcome: Outcome,
    sent: Sent | null,
    now: Instant,
  ): Promise<boolean>;
  /** Whether the nonce of a form was unused until now; it is used from now on. */
  useNonce(nonce: string, at: Instant): Promise<boolean>;
  machine: MachineStore;
}

/** The request that a transaction answers, so that a repeat of it finds the same answer. */
export interface Repeatable<A> {
  /** Account, method and route. */
  scope: string;
  key: string;
  /** SHA-256 of what makes two requests the same, in hexadecimal. */
  fingerprint: string;
  /** The answer as it is kept: less what is shown once. */
  seal(answer: A): StoredAnswer;
}

export interface StoredAnswer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
  /** The JSON text; null for no body. */
  readonly body: string | null;
}

/** What an earlier request with the same key was answered. */
export interface Replay {
  readonly replay: StoredAnswer;
}

export interface Database {
  /** Opens one transaction that sees this account alone. A thrown error undoes all of it. */
  asAccount<T>(accountId: string, work: (tx: Transaction) => Promise<T>): Promise<T>;
  /**
   * The same, with the answer kept under the request's key in that transaction: a repeat gets the
   * kept answer and `work` does not run again; one that is still running is waited for.
   * @throws Refusal idempotencyMismatch, idempotencyRunning
   */
  once<A>(
    accountId: string,
    request: Repeatable<A> | null,
    work: (tx: Transaction) => Promise<A>,
  ): Promise<A | Replay>;
  /** The same for the operator, whose requests are kept apart from the account that they make. */
  onceForOperator<A>(
    accountId: string,
    request: Repeatable<A> | null,
    work: (tx: Transaction) => Promise<A>,
  ): Promise<A | Replay>;
  /** The same on the shortest way to the database, for the one request that arrives all the time. */
  onceForReading<A>(
    accountId: string,
    request: Repeatable<A> | null,
    work: (tx: ReadingTransaction) => Promise<A>,
  ): Promise<A | Replay>;
}

/** As much of a transaction as recording a reading needs. */
export interface ReadingTransaction {
  readonly accountId: string;
  machine: MachineStore;
  readingByExternalId(externalId: string): Promise<Reading | null>;
}

/** How messages travel; each channel has a queue of its own, so that none holds up the other. */
export type Channel = "mail" | "webhook";

/** A message that a worker holds: nobody else sends it until the lease ends. */
export interface Claimed {
  accountId: string;
  messageId: string;
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
  html: string;
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
    ids: IdMaker,
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
  /** Drops answers that are kept no longer. */
  forgetAnswers(): Promise<number>;
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
