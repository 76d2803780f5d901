import { type Caller, rightOf } from "../../application/caller.ts";
import type { Finding, WorkRecord } from "../../application/records.ts";
import type { LoggedWorkAnswer } from "../../application/work-done/log-work.ts";
import { present, shownDistance, shownInstant, shownStored } from "./shown.ts";
import { shownNext } from "./task.ts";

/** A work record; what it cost is for those who may see costs. */
export function shownWork(record: WorkRecord, caller: Caller) {
  const costs = rightOf(caller, "seeCosts") === "yes";
  const { vehicleId, doneOn, reading, minutes, notes, status, externalId } = record;
  return shownStored(record, {
    vehicleId,
    enteredAt: shownInstant(record.createdAt),
    doneAt: shownInstant(record.doneAt),
    doneOn,
    reading,
    distance: record.distance === null ? null : shownDistance(record.distance),
    hours: record.hours === null ? null : shownDistance(record.hours),
    taskIds: record.tasks.map(({ taskId }) => taskId),
    tasks: record.tasks.map(({ inWindow, ...task }) => ({ ...task, window: inWindow })),
    by: record.performedBy,
    findings: record.findings.map(shownFinding),
    parts: costs ? record.parts : record.parts.map(({ cost: _cost, ...part }) => part),
    minutes,
    labour: costs ? record.labour : null,
    cost: costs ? record.cost : null,
    notes,
    window: record.inWindow,
    status,
    revisions: record.revisions.map(({ at, what, reason, before }) =>
      present({ at: shownInstant(at), what, reason, before: costs ? before : undefined }),
    ),
    externalId,
  });
}

export function shownLogged({ record, next, assessed }: LoggedWorkAnswer, caller: Caller) {
  return { ...shownWork(record, caller), next: next.map((one) => shownNext(one, assessed)) };
}

function shownFinding(finding: Finding) {
  const { taskId, point, asFound, asLeft, judged, judgedAsLeft, condition, note } = finding;
  return present({
    taskId,
    point,
    asFound,
    ...judged,
    asLeft,
    verdictAsLeft: judgedAsLeft?.verdict,
    whyAsLeft: judgedAsLeft?.why,
    condition,
    note,
  });
}
