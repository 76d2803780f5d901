import type { PlainDate } from "../calendar/plain-date.ts";
import type { TaskPlan } from "../interval/task-plan.ts";
import type { Due, DueFigures, DueLimit, DuePoint } from "./due-point.ts";

export type TaskState = "unknown" | "later" | "ahead" | "due" | "overdue" | "done" | "paused";

/** What is known today, and what the forecast makes of it; probabilities in [0, 1]. */
export interface Evidence {
  today: PlainDate;
  /** The latest accepted totals, in the meter's unit and in hours. */
  total?: { distance?: number; hours?: number };
  /** P(the due point is reached by now), over all limits. */
  reached: number;
  /** P(the late edge of the permitted window is passed by now), over all limits. */
  past: number;
  /** P(the due point is reached within the lead); null where nothing tells when it will be. */
  withinLead: number | null;
  /** The probability from which `withinLead` counts as inside the lead. */
  threshold: number;
  /** Whether the machine is laid up today, so that distance and hours stand still. */
  standsStill: boolean;
  /** The limit that the forecast expects to decide. */
  likeliest?: DueLimit;
}

/** `by` is the limit that decides, where it can be told; `knownFrom` is there once it is due. */
export interface JudgedState {
  state: TaskState;
  by?: DueLimit;
  knownFrom?: "calendar" | "reading" | "forecast";
}

/**
 * The state of a task today. What the calendar or a reading shows goes before the forecast, which
 * counts when it is more likely than not. Whichever comes first: any limit decides; last: all must
 * be reached. A machine that is laid up pauses a task without a date, unless a reading shows that
 * it was due already. A one-off that does not concern the machine counts as done. One of which
 * nothing tells when it falls due, as by distance on a machine that was never read, is unknown.
 */
export function taskState(due: Due, plan: TaskPlan, evidence: Evidence): JudgedState {
  if (due.state === "done" || due.state === "notApplicable") return { state: "done" };
  if (plan.paused) return { state: "paused" };
  if (due.state === "unknown") return { state: "unknown" };
  const { point } = due;
  const { late } = point.window;
  const overdue = shown(point, evidence, (limit) => exceeds(figuresNow(evidence), late, limit));
  if (overdue !== null) return { state: "overdue", ...overdue };
  const reached = shown(point, evidence, (limit) => meets(figuresNow(evidence), point, limit));
  const stands = evidence.standsStill && point.date === undefined;
  if (!stands && evidence.past > 0.5) return forecast("overdue", point, evidence);
  if (reached !== null) return { state: "due", ...reached };
  if (stands) return { state: "paused" };
  if (evidence.reached > 0.5) return forecast("due", point, evidence);
  if (evidence.withinLead === null) return { state: "unknown" };
  const inLead = evidence.withinLead >= evidence.threshold;
  return { state: inLead ? "ahead" : "later", ...decider(point, evidence) };
}

/** The limit by which readings and the calendar alone show it, or `null` while they do not. */
function shown(
  point: DuePoint,
  evidence: Evidence,
  holds: (limit: DueLimit) => boolean,
): Pick<JudgedState, "by" | "knownFrom"> | null {
  const limits = limitsOf(point);
  const held = limits.filter(holds);
  const enough = point.whichever === "first" ? held.length > 0 : held.length === limits.length;
  if (!enough) return null;
  const { likeliest } = evidence;
  const by = likeliest !== undefined && held.includes(likeliest) ? likeliest : held[0];
  if (by === undefined) return null;
  return { by, knownFrom: by === "date" ? "calendar" : "reading" };
}

function forecast(state: "due" | "overdue", point: DuePoint, evidence: Evidence): JudgedState {
  return { state, ...decider(point, evidence), knownFrom: "forecast" };
}

function decider(point: DuePoint, evidence: Evidence): { by?: DueLimit } {
  const limits = limitsOf(point);
  const by = evidence.likeliest ?? (limits.length === 1 ? limits[0] : undefined);
  return by === undefined ? {} : { by };
}

function limitsOf(point: DuePoint): DueLimit[] {
  const all: DueLimit[] = ["distance", "hours", "date"];
  return all.filter((limit) => point[limit] !== undefined);
}

function figuresNow(evidence: Evidence): DueFigures {
  return { ...evidence.total, date: evidence.today };
}

function meets(now: DueFigures, point: DueFigures, limit: DueLimit): boolean {
  const [a, b] = [now[limit], point[limit]];
  return a !== undefined && b !== undefined && a >= b;
}

function exceeds(now: DueFigures, edge: DueFigures, limit: DueLimit): boolean {
  const [a, b] = [now[limit], edge[limit]];
  return a !== undefined && b !== undefined && a > b;
}
