import { addDays, type Instant, type PlainDate } from "../../domain/calendar/plain-date.ts";
import { type DigestPace, type DigestSpan, spanAfter } from "../../domain/reminder/digest.ts";
import { aheadThreshold } from "../../domain/reminder/thresholds.ts";
import { breathing } from "../breathe.ts";
import type {
  DigestItemView,
  DigestMachineView,
  DigestMailView,
  HeldReadingView,
  SilentMachineView,
} from "../digest-view.ts";
import type { Links } from "../links.ts";
import { type Assessed, type AssessedTask, assess } from "../machine/assess.ts";
import { startDay } from "../machine/crossing.ts";
import { dateReached } from "../machine/likely-dates.ts";
import { dueTold, machineView } from "../machine/mail-view.ts";
import type { Machine } from "../ports.ts";
import type { Account, Member } from "../records.ts";
import { BestOf } from "./best-of.ts";
import { bySilence, heldLine, isSilent, silentLine } from "./meter-lines.ts";

/** What the machines themselves say in a digest. */
export type Survey = Pick<
  DigestMailView,
  "overdue" | "due" | "machines" | "others" | "next" | "unforeseen" | "held" | "silent"
>;

/** More machines or lines than this nobody reads; of the rest the mail gives the number. */
const MACHINES_SHOWN = 30;
const JOBS_SHOWN = 5;
const LINES_SHOWN = 10;

const RANK = { overdue: 0, due: 1, ahead: 2 } as const;

interface Job {
  one: AssessedTask;
  stage: keyof typeof RANK;
  /** The day on which it is as likely as not. */
  day: number;
}

interface Listing {
  view: DigestMachineView;
  first: Job;
}

export interface SurveyFrame {
  account: Account;
  /** Who reads it. */
  member: Member;
  now: Instant;
  pace: DigestPace;
  span: DigestSpan;
  links: Links;
}

/**
 * Looks at every machine once and keeps of them only what a digest has room for, so that a large
 * fleet takes no more memory than a small one. A job counts as due in a span when the probability
 * that it is reached by the end passes the threshold at which reminders speak.
 */
export async function surveyMachines(
  pages: AsyncIterable<readonly Machine[]>,
  frame: SurveyFrame,
): Promise<Survey> {
  const survey = new MachineSurvey(frame);
  const breathe = breathing();
  for await (const machines of pages) {
    for (const machine of machines) {
      survey.add(assess(machine, frame.now));
      await breathe();
    }
  }
  return survey.result();
}

class MachineSurvey {
  readonly #frame: SurveyFrame;
  readonly #nextTo: PlainDate;
  readonly #ends: { span: number; next: number };
  readonly #listed = new BestOf<Listing>(MACHINES_SHOWN, byUrgency);
  readonly #held = new BestOf<HeldReadingView>(LINES_SHOWN, (a, b) => (a.on < b.on ? 1 : -1));
  readonly #silent = new BestOf<SilentMachineView>(LINES_SHOWN, bySilence);
  readonly #count = { overdue: 0, due: 0, others: 0, nextJobs: 0, nextMachines: 0, unforeseen: 0 };
  #clearUntil: PlainDate | null = null;

  constructor(frame: SurveyFrame) {
    const { pace, span, member } = frame;
    this.#frame = frame;
    this.#nextTo = spanAfter(pace, span).to;
    const endOf = (date: PlainDate) => startDay(addDays(date, 1), member.timeZone);
    this.#ends = { span: endOf(span.to), next: endOf(this.#nextTo) };
  }

  add(assessed: Assessed): void {
    const foreseen = assessed.tasks.filter(isForeseen);
    const jobs = foreseen.flatMap((one) => this.#jobOf(one)).sort(byStage);
    this.#countJobs(assessed, foreseen, jobs);
    const [first] = jobs;
    if (first) this.#listed.add({ view: this.#listing(assessed, jobs), first });
    for (const reading of assessed.machine.readings) {
      if (reading.status === "held") this.#held.add(heldLine(assessed, reading));
    }
    if (isSilent(assessed)) {
      this.#silent.add(silentLine(assessed, this.#link("postReading", assessed)));
    }
  }

  result(): Survey {
    const { overdue, due, others, nextJobs, nextMachines, unforeseen } = this.#count;
    return {
      ...{ overdue, due, unforeseen },
      machines: this.#listed.list(({ view }) => view),
      others: { machines: others, clearUntil: this.#clearUntil },
      next: { to: this.#nextTo, jobs: nextJobs, machines: nextMachines },
      held: this.#held.list((one) => one),
      silent: this.#silent.list((one) => one),
    };
  }

  #jobOf(one: AssessedTask): Job[] {
    const { state } = one.judged;
    const told = state === "overdue" || state === "due" ? state : "ahead";
    const inside = (one.crossing?.reachedBy(this.#ends.span) ?? 0) >= aheadThreshold();
    if (told === "ahead" && !inside) return [];
    return [{ one, stage: told, day: one.crossing?.dayReached(0.5) ?? Number.POSITIVE_INFINITY }];
  }

  #countJobs(assessed: Assessed, foreseen: readonly AssessedTask[], jobs: readonly Job[]): void {
    const count = this.#count;
    const overdue = jobs.filter(({ stage }) => stage === "overdue").length;
    count.overdue += overdue;
    count.due += jobs.length - overdue;
    count.unforeseen += assessed.tasks.filter(isUnforeseen).length;
    const later = foreseen.filter((one) => jobs.every((job) => job.one !== one));
    const inNext = later.filter(
      ({ crossing }) => (crossing?.reachedBy(this.#ends.next) ?? 0) >= aheadThreshold(),
    );
    count.nextJobs += inNext.length;
    count.nextMachines += inNext.length > 0 ? 1 : 0;
    if (jobs.length > 0) return;
    count.others += 1;
    for (const { crossing } of later) {
      const on = crossing && dateReached(crossing, aheadThreshold(), assessed.zone);
      if (on && (this.#clearUntil === null || on < this.#clearUntil)) this.#clearUntil = on;
    }
  }

  #listing(assessed: Assessed, jobs: readonly Job[]): DigestMachineView {
    const { responsible } = assessed.machine;
    const shown = jobs.slice(0, JOBS_SHOWN);
    return {
      ...machineView(assessed.machine),
      ...(responsible.id !== this.#frame.member.id && { keeper: responsible.name }),
      laidUp: assessed.laidUp,
      jobs: { items: shown.flatMap((job) => this.#itemView(assessed, job)), count: jobs.length },
    };
  }

  #itemView(assessed: Assessed, { one, stage }: Job): DigestItemView[] {
    if (one.due.state !== "point") return [];
    const { task } = one;
    return [
      {
        ...dueTold(assessed, one, one.due.point, stage),
        title: task.title,
        cautions: task.cautions,
        links: { logWork: this.#link("logWork", assessed, task.id) },
      },
    ];
  }

  #link(purpose: "logWork" | "postReading", { machine }: Assessed, taskId?: string): string {
    const { account, member, links, now } = this.#frame;
    const who = { accountId: account.id, memberId: member.id, vehicleId: machine.vehicle.id };
    return links.url({ ...who, purpose, ...(taskId !== undefined && { taskId }) }, now);
  }
}

/** Whether something can be said of when the task falls due, and whether it may speak at all. */
function isForeseen({ judged: { state }, crossing, due }: AssessedTask): boolean {
  if (due.state !== "point" || state === "done" || state === "paused") return false;
  return crossing !== null || state === "due" || state === "overdue";
}

function isUnforeseen(one: AssessedTask): boolean {
  const { state } = one.judged;
  return state !== "done" && state !== "paused" && !isForeseen(one);
}

function byStage(a: Job, b: Job): number {
  return RANK[a.stage] - RANK[b.stage] || a.day - b.day;
}

function byUrgency(a: Listing, b: Listing): number {
  return byStage(a.first, b.first) || (a.view.name < b.view.name ? -1 : 1);
}
