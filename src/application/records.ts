import type { Instant, PlainDate } from "../domain/calendar/plain-date.ts";
import type { Measurement, MeasuringPoint, Verdict } from "../domain/finding/point.ts";
import type { TaskPlan } from "../domain/interval/task-plan.ts";
import type { HoldReason } from "../domain/meter/accept.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import type { VehicleKind } from "../domain/usage/kind.ts";

/** What every stored resource carries. Instants are milliseconds since 1970-01-01 UTC. */
export interface Stored {
  id: string;
  version: number;
  createdAt: Instant;
  updatedAt: Instant;
}

export interface Account extends Stored {
  name: string;
  sandbox: boolean;
  /** The sandbox's own time; null for an account that lives on real time. */
  clock: Instant | null;
  /** Origins (RFC 6454) of the web pages that may call with keys of this account. */
  allowedOrigins: string[];
}

export type Role = "owner" | "manager" | "mechanic" | "rider";

export interface ReminderPreferences {
  leadDays: number;
  leadDistance: number | null;
  sendingHour: number;
  /** ISO weekdays, 1 = Monday. */
  quietDays: number[];
  askForReadings: boolean;
  digest: "none" | "weekly" | "monthly";
}

export interface Member extends Stored {
  name: string;
  email: string;
  emailConfirmedAt: Instant | null;
  /** Why the address is not written to any more: the mail server's own words. */
  emailSuppressed: string | null;
  unsubscribedAt: Instant | null;
  role: Role;
  locale: string;
  timeZone: string;
  unit: DistanceUnit;
  reminders: ReminderPreferences;
  externalId: string | null;
}

export type Scope = "read" | "readings:write" | "write" | "admin";

export interface ApiKey extends Stored {
  publicId: string;
  name: string;
  scopes: Scope[];
  memberId: string | null;
  /** The only vehicles that the key sees; null: all of the account. */
  vehicleIds: string[] | null;
  /** The key that made this one, which is short-lived; null for a key that a person keeps. */
  parentId: string | null;
  expiresAt: Instant | null;
  revokedAt: Instant | null;
  lastUsedAt: Instant | null;
}

/** Worked out of lay-ups, `offRoad` and `disposedOn` by the date. */
export type VehicleStatus = "inUse" | "laidUp" | "offRoad" | "disposed";

export interface Vehicle extends Stored {
  name: string;
  kind: VehicleKind;
  meterUnit: DistanceUnit;
  hoursMeter: boolean;
  make: string | null;
  model: string | null;
  modelYear: number | null;
  registration: string | null;
  frameNumber: string | null;
  group: string | null;
  inServiceOn: PlainDate | null;
  /** Distance a year as declared by the rider, in the meter's unit. */
  declaredPerYear: number | null;
  hemisphere: "north" | "south" | null;
  responsibleMemberId: string;
  /** The shared schedule that was put on it last. */
  scheduleId: string | null;
  disposedOn: PlainDate | null;
  offRoad: boolean;
  notes: string | null;
  externalId: string | null;
}

export type MeterName = "distance" | "hours";

export interface MeterChangeRecord extends Stored {
  vehicleId: string;
  meter: MeterName;
  at: Instant;
  before: number | null;
  after: number;
  note: string | null;
}

export interface LayUp extends Stored {
  vehicleId: string;
  from: PlainDate;
  /** The first day of use again; null while nobody knows. */
  to: PlainDate | null;
  reason: string | null;
}

export type ReadingSource = "rider" | "workshop" | "import" | "device" | "link";

export interface Reading extends Stored {
  vehicleId: string;
  meter: MeterName;
  at: Instant;
  value: number;
  unit: DistanceUnit | "h";
  /** What the meters of this machine have run in all, in the meter's own unit. */
  total: number;
  status: "accepted" | "held" | "superseded";
  /** A person looked again and said that it is right. */
  confirmed: boolean;
  reasons: HoldReason[];
  source: ReadingSource;
  note: string | null;
  replacesId: string | null;
  workRecordId: string | null;
  externalId: string | null;
}

export interface Lead {
  days?: number;
  distance?: number;
}

export type StatedWork =
  | "never"
  | "unknown"
  | { on: PlainDate; reading?: number | undefined; hours?: number | undefined };

export type StoredPoint = MeasuringPoint & { id: string };

export interface PartNeeded {
  name: string;
  number?: string | undefined;
  quantity?: string | undefined;
}

export interface FluidNeeded {
  name: string;
  grade?: string | undefined;
  quantity?: string | undefined;
}

export interface Task extends Stored {
  vehicleId: string;
  title: string;
  plan: TaskPlan;
  lead: Lead | null;
  minutes: number | null;
  access: string[];
  steps: string[];
  tools: string[];
  parts: (string | PartNeeded)[];
  fluids: (string | FluidNeeded)[];
  cautions: string[];
  closingChecks: string[];
  points: StoredPoint[];
  statedWork: StatedWork;
  /** The shared schedule and its line that this task stands here by; null for one of the machine's own. */
  scheduleId: string | null;
  scheduleLine: string | null;
}

/** What a schedule says of a task on whichever machine; what the task is paused or severe for is the machine's. */
export interface ScheduleLine
  extends Omit<
    Task,
    keyof Stored | "vehicleId" | "plan" | "statedWork" | "scheduleId" | "scheduleLine"
  > {
  id: string;
  plan: Omit<TaskPlan, "paused" | "severe">;
}

/** The tasks that many machines share. */
export interface Schedule extends Stored {
  name: string;
  notes: string | null;
  lines: ScheduleLine[];
  externalId: string | null;
}

export interface Money {
  amount: string;
  currency: string;
}

export type PerformedBy =
  | { memberId: string; trade?: "owner" | "workshop" | undefined }
  | { name: string; trade?: "owner" | "workshop" | undefined };

export interface PartUsed {
  name: string;
  number?: string | undefined;
  quantity?: number | undefined;
  cost?: Money | undefined;
  madeOn?: PlainDate | undefined;
}

export interface Condition {
  cold?: boolean | undefined;
  engineTemperature?: number | undefined;
}

export interface JudgedMeasurement {
  verdict: Verdict;
  tryLeaf?: number | undefined;
  why: string;
}

export interface Finding {
  taskId: string | null;
  /** The point as it stood when the work was logged, so that the history stays readable. */
  point: MeasuringPoint & { id?: string | undefined };
  asFound: Measurement;
  asLeft?: Measurement | undefined;
  condition?: Condition | undefined;
  note?: string | undefined;
  judged: JudgedMeasurement;
  judgedAsLeft?: JudgedMeasurement | undefined;
}

export interface WorkedTask {
  taskId: string;
  title: string;
  occurrence: string | null;
  inWindow: "within" | "outside" | null;
}

export interface WorkRevision {
  at: Instant;
  what: "amended" | "void";
  reason: string;
  /** The record as it stood before; absent where it was voided. */
  before?: Record<string, unknown> | undefined;
}

export interface WorkRecord extends Stored {
  vehicleId: string;
  doneAt: Instant;
  doneOn: PlainDate;
  /** Totals when the work was done; null where no meter was read. */
  distance: number | null;
  hours: number | null;
  /** What was posted, unit and all. */
  reading: { value: number; unit: DistanceUnit | "h" } | null;
  performedBy: PerformedBy;
  findings: Finding[];
  parts: PartUsed[];
  minutes: number | null;
  labour: Money | null;
  cost: Money | null;
  notes: string | null;
  tasks: WorkedTask[];
  inWindow: "within" | "outside" | null;
  status: "standing" | "amended" | "void";
  revisions: WorkRevision[];
  externalId: string | null;
}

export type Stage = "ahead" | "due" | "overdue" | "ask";

export interface Reminder extends Stored {
  vehicleId: string;
  taskId: string | null;
  memberId: string;
  key: string;
  occurrence: string;
  revision: number;
  stage: Stage;
  plannedFor: Instant;
  status: "planned" | "sent" | "cancelled" | "deferred" | "failed";
  why: Record<string, unknown>;
  deferredUntilOn: PlainDate | null;
  deferredUntilDistance: number | null;
  expectedDay: number | null;
  cancelledBy: "person" | "plan" | null;
  messageId: string | null;
  sentAt: Instant | null;
}

export type MessageStatus = "waiting" | "sending" | "sent" | "failed" | "unknown" | "suppressed";

export interface Attachment {
  filename: string;
  contentType: string;
  content: string;
}

export interface Message extends Stored {
  memberId: string | null;
  kind: "reminder" | "digest" | "confirmAddress" | "freshLink" | "notice" | "webhook";
  /** The endpoint that a webhook's delivery goes to; null for an email. */
  endpointId: string | null;
  dedupe: string;
  content: Record<string, unknown>;
  status: MessageStatus;
  attempts: number;
  nextAttemptAt: Instant;
  giveUpAt: Instant;
  lastAnswer: string | null;
  messageIdHeader: string;
  address: string | null;
  subject: string | null;
  text: string | null;
  html: string | null;
  headers: Record<string, string> | null;
  attachments: Attachment[];
  sentAt: Instant | null;
  reminderIds: string[];
}

/** Where an account wants to be told of its events. */
export interface WebhookEndpoint extends Stored {
  url: string;
  description: string | null;
  /** The types of event that it wants; empty for all. */
  eventTypes: string[];
  /** Goes into the derivation of its secret; one more with each rotation. */
  secretNumber: number;
  /** Until then what is sent is signed with the secret before as well. */
  overlapEndsAt: Instant | null;
  disabledAt: Instant | null;
  disabledWhy: string | null;
}

/** A calendar that programs subscribe to: of one member's machines, or of all. */
export interface CalendarFeed extends Stored {
  name: string;
  memberId: string | null;
  /** Goes into the derivation of its address; one more with each rotation. */
  secretNumber: number;
}

export interface EventRecord {
  id: string;
  type: string;
  vehicleId: string | null;
  resourceId: string;
  data: Record<string, unknown>;
  at: Instant;
}

export type ImportKind = "readings" | "vehicles" | "work" | "account";

/** Rows by what became of them, and how many of them are reported one by one. */
export interface ImportCounts {
  recorded: number;
  held: number;
  repeated: number;
  refused: number;
  reported: number;
}

/** A file that was posted: all of its rows were taken, or none. */
export interface Import extends Stored {
  kind: ImportKind;
  dryRun: boolean;
  status: "applied" | "refused" | "tried";
  counts: ImportCounts;
  /** SHA-256 of the body, in hexadecimal. */
  digest: string;
  /** The key that posted it. */
  keyId: string;
  externalId: string | null;
}

/** A row of an import that needs a look. */
export interface ImportRow {
  /** Of the file, the header being line 1. */
  line: number;
  outcome: "refused" | "held" | "repeated";
  /** The column in which the fault lies, where it lies in one. */
  column: string | null;
  detail: string;
  /** What was recorded or stood there already. */
  resourceId: string | null;
}
