import {
  estimateView,
  jobView,
  machineView,
  pointView,
} from "../../application/machine/mail-view.ts";
import type { FieldFault, LogWorkPageView } from "../../application/page-views.ts";
import type { KnownTask } from "../../application/ports.ts";
import type { Finding, StoredPoint } from "../../application/records.ts";
import { findingView } from "../../application/service-history.ts";
import type { FindingInput } from "../../application/work-done/judge-findings.ts";
import { logWork, type WorkInput } from "../../application/work-done/log-work.ts";
import { isPlainDate } from "../../domain/calendar/plain-date.ts";
import { measurementFault } from "../../domain/finding/measurement-fault.ts";
import type { Measurement } from "../../domain/finding/point.ts";
import { renderDonePage } from "../../render/pages/done-page.ts";
import { renderFaultPage } from "../../render/pages/fault-page.ts";
import { renderLogWorkPage } from "../../render/pages/log-work-page.ts";
import type { Services } from "../services.ts";
import type { LinkContext } from "./link-context.ts";
import { faulty, formView, ok, type PageAnswer, type Purpose } from "./page-answer.ts";
import { assessedOf, nextDueView } from "./post-reading.ts";
import { numberOf, parseTyped } from "./typed.ts";

const LONGEST_NOTES = 10_000;

/** Log the work as done: when, at what reading, and what was measured. */
export const logWorkPurpose: Purpose = {
  show(context, services) {
    const task = taskOf(context);
    return task ? ok(page(context, task, services, {}, [])) : gone(context);
  },
  read(context, fields, services) {
    const task = taskOf(context);
    if (!task) return gone(context);
    const { input, faults } = read(context, task, fields);
    if (faults.length > 0) return faulty(page(context, task, services, fields, faults));
    const { account, member } = context;
    const caller = {
      accountId: account.id,
      keyId: "link",
      scopes: ["write"] as const,
      memberId: member.id,
      role: member.role,
    };
    return async (tx) => {
      const vehicleId = assessedOf(context).machine.vehicle.id;
      const done = await logWork(tx, caller, vehicleId, input, {}, services);
      const { record, next, assessed } = done;
      return ok(
        renderDonePage({
          locale: member.locale,
          accountName: account.name,
          machine: machineView(assessed.machine),
          today: assessed.today,
          done: {
            code: "workLogged",
            title: task.title,
            window: record.inWindow,
            findings: record.findings.map(findingShown),
            next: next.map((one) => nextDueView(assessed, one)),
          },
        }),
      );
    };
  },
};

/** A finding, with the leaf that would settle what its last measurement leaves open. */
function findingShown(finding: Finding) {
  const { tryLeaf } = finding.judgedAsLeft ?? finding.judged;
  return { ...findingView(finding), ...(tryLeaf !== undefined && { tryLeaf }) };
}

function taskOf(context: LinkContext): KnownTask | undefined {
  return assessedOf(context).machine.tasks.find(({ id }) => id === context.claims.taskId);
}

/** The task was taken off the schedule since the mail was sent. */
export function gone({ member, account }: LinkContext): PageAnswer {
  const view = { locale: member.locale, accountName: account.name, code: "notFound" as const };
  return { status: 404, html: renderFaultPage(view) };
}

function page(
  context: LinkContext,
  task: KnownTask,
  services: Services,
  typed: Record<string, string>,
  faults: FieldFault[],
): string {
  const assessed = assessedOf(context);
  const { machine, today } = assessed;
  const meterToday = estimateView(assessed);
  const view: LogWorkPageView = {
    ...formView(context, services),
    machine: machineView(machine),
    today,
    typed,
    faults,
    ...(meterToday && { meterToday }),
    job: {
      ...jobView(task),
      points: task.points.map((point, index) => ({ ...pointView(point), key: String(index) })),
    },
  };
  return renderLogWorkPage(view);
}

function read(context: LinkContext, task: KnownTask, fields: Record<string, string>) {
  const { machine, today } = assessedOf(context);
  const faults: FieldFault[] = [];
  const doneAt = fields.doneOn || today;
  if (!isPlainDate(doneAt)) faults.push({ field: "doneOn", code: "notDate" });
  else if (doneAt > today) faults.push({ field: "doneOn", code: "inFuture" });
  const value = numberOf(fields, "reading", faults, false);
  const notes = fields.notes || null;
  if (notes !== null && notes.length > LONGEST_NOTES)
    faults.push({ field: "notes", code: "tooLong" });
  const findings = task.points.flatMap((point, index) =>
    findingOf(point, String(index), fields, faults),
  );
  const input: WorkInput = {
    doneAt,
    reading: value === null ? null : { value, unit: machine.vehicle.meterUnit },
    taskIds: [task.id],
    performedBy: { memberId: context.member.id },
    findings,
    notes,
    ...{ parts: [], minutes: null, labour: null, cost: null, externalId: null },
  };
  return { input, faults };
}

function findingOf(
  point: StoredPoint,
  key: string,
  fields: Record<string, string>,
  faults: FieldFault[],
): FindingInput[] {
  const asFound = measurementOf(point, `found.${key}`, fields, faults);
  const asLeft = measurementOf(point, `left.${key}`, fields, faults);
  const note = fields[`note.${key}`] || undefined;
  if (!asFound) return [];
  return [
    { point: point.id, asFound, ...(asLeft && { asLeft }), ...(note !== undefined && { note }) },
  ];
}

/** What was typed at a point; null where nothing was, or where it cannot be taken. */
function measurementOf(
  point: StoredPoint,
  prefix: string,
  fields: Record<string, string>,
  faults: FieldFault[],
): Measurement | null {
  const typed = (name: string) => fields[`${prefix}.${name}`] ?? "";
  const look = typed("look");
  if (look === "sound" || look === "watch" || look === "replace") return { look };
  const figures: Record<string, number> = {};
  for (const name of ["value", "goes", "refuses"]) {
    if (typed(name) === "") continue;
    const figure = parseTyped(typed(name));
    if (figure === null) faults.push({ field: `${prefix}.${name}`, code: "notNumber" });
    else figures[name] = figure;
  }
  if (Object.keys(figures).length === 0) return typed("stated") ? { stated: true } : null;
  const found = figures as unknown as Measurement;
  const fault = measurementFault(point, found);
  if (fault)
    faults.push({ field: `${prefix}${fault.pointer.replace("/", ".")}`, code: "leafOrder" });
  return found;
}
