import type { Instant, PlainDate } from "../domain/calendar/plain-date.ts";
import type { Told } from "../domain/reminder/tell.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import type { DigestStore } from "./mail/digest-store.ts";
import type { Claimed, Letter, Outcome, Sent, SettledReminder } from "./outbox-ports.ts";
import type {
  Account,
  ApiKey,
  CalendarFeed,
  EventRecord,
  Import,
  ImportKind,
  ImportRow,
  LayUp,
  Member,
  Message,
  MeterChangeRecord,
  MeterName,
  Reading,
  Reminder,
  Schedule,
  ScheduleLine,
  Task,
  Vehicle,
  WebhookEndpoint,
  WorkedTask,
  WorkRecord,
} from "./records.ts";
import type { StandingTask } from "./schedules/line-changes.ts";
import type { ToldTasks } from "./told-tasks.ts";
import type { WebhookLetter } from "./webhooks/ports.ts";

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
  /** Writes the given fields and raises the version. @throws LostRace when the row stands at another */
  update(id: string, version: number, fields: Partial<New<T>>): Promise<T>;
  remove(id: string, version: number): Promise<boolean>;
}

export interface ChangedFilter {
  updatedAfter?: Instant | undefined;
}

/** From the first instant on, and before the second. */
export interface TimeFilter extends ChangedFilter {
  from?: Instant | undefined;
  to?: Instant | undefined;
}

export interface MemberFilter extends ChangedFilter {
  externalId?: string | undefined;
  role?: string | undefined;
  ids?: string[] | undefined;
}

export interface ScheduleFilter extends ChangedFilter {
  externalId?: string | undefined;
}

/**
 * The tasks of many machines at once, in statements whose number does not grow with the machines.
 * Whoever changes them by it leaves the machines to be planned anew: `stand` says so to the worker.
 */
export interface ScheduledTasks {
  /** Locks the schedule's row until the transaction ends: it changes on all its machines or on none. */
  lockSchedule(scheduleId: string): Promise<void>;
  /** Locks the vehicles' rows until the transaction ends. */
  lock(vehicleIds: readonly string[]): Promise<void>;
  tasksOn(vehicleIds: readonly string[]): Promise<StandingTask[]>;
  machinesOf(scheduleId: string): Promise<string[]>;
  add(tasks: New<Task>[]): Promise<void>;
  /** Writes what a line says into its tasks; each keeps its pause, its severe use and its last work. */
  change(
    taskIds: readonly string[],
    line: Omit<ScheduleLine, "id"> & { scheduleId: string; scheduleLine: string },
    at: Instant,
  ): Promise<void>;
  remove(taskIds: readonly string[]): Promise<void>;
  /** Notes which schedule stands on the vehicles, null for none, and has them planned anew at once. */
  stand(vehicleIds: readonly string[], scheduleId: string | null, at: Instant): Promise<void>;
  /** The tasks that stood on the vehicle by a schedule are its own from now on. */
  release(vehicleId: string, at: Instant): Promise<void>;
}

export interface VehicleFilter extends ChangedFilter {
  externalId?: string | undefined;
  scheduleId?: string | undefined;
  kind?: string | undefined;
  group?: string | undefined;
  offRoad?: boolean | undefined;
  /** Those with a day of disposal, past or to come. */
  isToBeDisposed?: boolean | undefined;
  responsibleMemberId?: string | undefined;
  ids?: string[] | undefined;
}

export interface OfVehicle extends TimeFilter {
  vehicleId?: string | undefined;
  status?: string | undefined;
  externalId?: string | undefined;
}

/** Lay-ups that have a day in the span, both of its ends among its days. */
export interface LayUpFilter extends ChangedFilter {
  vehicleId?: string | undefined;
  vehicleIds?: string[] | undefined;
  from?: PlainDate | undefined;
  to?: PlainDate | undefined;
}

/** Readings, or changes, of one meter. */
export interface MeterFilter extends OfVehicle {
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
  kind?: string | undefined;
  endpointId?: string | undefined;
  status?: string | undefined;
  /** Those that speak of one of these vehicles. */
  vehicleIds?: string[] | undefined;
  /** Those that speak of no other vehicle. */
  onlyVehicleIds?: string[] | undefined;
}

export interface CalendarFeedFilter extends ChangedFilter {
  memberId?: string | undefined;
}

export interface ImportFilter extends ChangedFilter {
  kind?: ImportKind | undefined;
  status?: Import["status"] | undefined;
  externalId?: string | undefined;
  updatedAfter?: Instant | undefined;
  /** Those that this key posted. */
  keyId?: string | undefined;
}

export interface EventFilter {
  vehicleIds?: string[] | undefined;
  type?: string | undefined;
}

/** Events read from the log, and where to go on from. */
export interface EventsRead {
  items: EventRecord[];
  last: Position;
  more: boolean;
}

/** A key as it is stored: the hash of its secret, never the secret. */
export interface StoredKey extends ApiKey {
  secretHash: Uint8Array;
}

export interface KeyFilter extends ChangedFilter {
  memberId?: string | undefined;
  /** Those that other keys made; else those that people keep. */
  shortLived?: boolean | undefined;
}

/** A key and the short-lived ones that it made. */
export interface KeyFamily {
  /** Locks the key until the transaction ends: none is made of a key that is being revoked. */
  lock(keyId: string): Promise<void>;
  /** Those that it made end then at the latest. */
  expire(keyId: string, at: Instant, now: Instant): Promise<void>;
  revoke(keyId: string, at: Instant, now: Instant): Promise<void>;
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

/** Another machine of the account, as far as it lends its habits to a new one. */
export interface FleetMachine {
  unit: DistanceUnit;
  /** Instants and totals of its newest accepted distance readings. */
  readings: [at: Instant, total: number][];
}

/** One machine with all that its due points, forecast and reminders follow from. */
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
  /**
   * Locks the vehicle's row until the transaction ends. Whoever changes something of a machine locks
   * it first, many in the order of their ids, and a schedule before the machines that it stands on.
   * The lock lets foreign keys pass: rows of others may point to the machine meanwhile.
   */
  lock(vehicleId: string): Promise<void>;
  /** The machine, its vehicle's row locked until the transaction ends where `lock` is set. */
  load(vehicleId: string, lock: boolean): Promise<Machine | null>;
  /** Many machines at once, unlocked, in the order of their ids. */
  loadMany(
    which: { ids: readonly string[] } | { after: string | null; limit: number },
  ): Promise<Machine[]>;
  write(changes: MachineChanges, at: Instant): Promise<void>;
  /**
   * Has the worker plan all machines anew that a member looks after, and locks their rows until the
   * transaction ends: who writes the member's row as well does so afterwards, see `lock`.
   */
  replanOf(memberId: string, at: Instant): Promise<void>;
}

/** As much of a transaction as sending a message needs. */
export interface SendingTransaction {
  letter(messageId: string): Promise<Letter | null>;
  /**
   * Notes what came of sending a message, and on the reminders that it carries; answers those that
   * are settled by it, or null where somebody else took the message over and nothing was noted.
   */
  noteOutcome(
    claimed: Claimed,
    outcome: Outcome,
    sent: Sent | null,
    now: Instant,
  ): Promise<SettledReminder[] | null>;
  /** The same of a webhook's delivery; null where its endpoint is gone. */
  webhookLetter(messageId: string): Promise<WebhookLetter | null>;
  machine: MachineStore;
}

/** Everything of one account inside one transaction: all of it is written or nothing. */
export interface Transaction extends SendingTransaction {
  readonly accountId: string;
  accounts: {
    find(): Promise<Account | null>;
    insert(row: New<Account>): Promise<Account>;
    update(version: number, fields: Partial<New<Account>>): Promise<Account>;
  };
  members: Collection<Member, MemberFilter>;
  owner(): Promise<Member>;
  keys: Collection<StoredKey, KeyFilter>;
  keyFamily: KeyFamily;
  vehicles: Collection<Vehicle, VehicleFilter>;
  meterChanges: Collection<MeterChangeRecord, MeterFilter>;
  layUps: Collection<LayUp, LayUpFilter>;
  readings: Collection<Reading, MeterFilter>;
  readingByExternalId(externalId: string): Promise<Reading | null>;
  /** Totals of readings worked out anew after a change of the meter. */
  setTotals(totals: { id: string; total: number }[], at: Instant): Promise<void>;
  tasks: Collection<Task, OfVehicle>;
  schedules: Collection<Schedule, ScheduleFilter>;
  scheduled: ScheduledTasks;
  told: ToldTasks;
  work: Collection<WorkRecord, OfVehicle>;
  setWorkedTasks(workRecordId: string, tasks: WorkedTask[]): Promise<void>;
  reminders: Collection<Reminder, ReminderFilter>;
  messages: Collection<Message, MessageFilter>;
  messageByDedupe(dedupe: string): Promise<Message | null>;
  webhookEndpoints: Collection<WebhookEndpoint, ChangedFilter>;
  /** An endpoint goes on with what happens from now on. */
  passOverEvents(endpointId: string): Promise<void>;
  /** Lets deliveries to the endpoint that failed since then be tried again; answers how many. */
  redeliverFailed(endpointId: string, since: Instant, now: Instant): Promise<number>;
  calendarFeeds: Collection<CalendarFeed, CalendarFeedFilter>;
  events: {
    list(filter: EventFilter, page: PageRequest): Promise<EventsRead>;
    /** Where the log ends now. */
    end(): Promise<Position>;
  };
  imports: Collection<Import, ImportFilter>;
  /** What an import tells of its rows, in the order of the lines. */
  importRows(
    importId: string,
    outcome: ImportRow["outcome"] | undefined,
    page: PageRequest,
  ): Promise<PageOf<ImportRow>>;
  digests: DigestStore;
  /** Whether the nonce of a form was unused until now; it is used from now on. */
  useNonce(nonce: string, at: Instant): Promise<boolean>;
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

/** As much of a transaction as recording a reading of one machine needs. */
export interface ReadingTransaction {
  readonly accountId: string;
  machine: Pick<MachineStore, "load" | "write">;
  readingByExternalId(externalId: string): Promise<Reading | null>;
}
