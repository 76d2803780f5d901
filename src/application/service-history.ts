import type { PlainDate } from "../domain/calendar/plain-date.ts";
import { dateAt } from "../domain/calendar/zone.ts";
import { type Caller, rightOf } from "./caller.ts";
import type { FindingView, ServiceHistoryView, WorkRecordView } from "./history-views.ts";
import { machineView, pointView } from "./machine/mail-view.ts";
import type { Machine, Transaction } from "./ports.ts";
import type { Finding, PerformedBy, WorkRecord, WorkRevision } from "./records.ts";

/** All work records of a machine, oldest first, voided and amended ones among them. */
export async function workOf(tx: Transaction, vehicleId: string): Promise<WorkRecord[]> {
  const records: WorkRecord[] = [];
  for (let after = null, more = true; more; ) {
    const page = await tx.work.list({ vehicleId }, { limit: 200, after });
    records.push(...page.items);
    after = page.next as null;
    more = page.next !== null;
  }
  return records.reverse();
}

/** What a buyer or a warranty clerk reads: the machine, and all that was done to it. */
export async function historyView(
  tx: Transaction,
  machine: Machine,
  records: readonly WorkRecord[],
  caller: Caller,
  today: PlainDate,
): Promise<ServiceHistoryView> {
  const { vehicle, responsible, account } = machine;
  const { make, model, modelYear, registration, frameNumber, inServiceOn } = vehicle;
  const views: WorkRecordView[] = [];
  for (const record of records) {
    const name = await nameOf(tx, record.performedBy);
    const costs = rightOf(caller, "seeCosts") === "yes";
    views.push(recordView(record, name, responsible.timeZone, costs));
  }
  return {
    locale: responsible.locale,
    accountName: account.name,
    printedOn: today,
    machine: {
      ...machineView(machine),
      ...(make !== null && { make }),
      ...(model !== null && { model }),
      ...(modelYear !== null && { modelYear }),
      ...(registration !== null && { registration }),
      ...(frameNumber !== null && { frameNumber }),
      ...(inServiceOn !== null && { inServiceOn }),
    },
    records: views,
  };
}

async function nameOf(tx: Transaction, by: PerformedBy): Promise<string | null> {
  if ("name" in by) return by.name;
  return (await tx.members.find(by.memberId))?.name ?? null;
}

function recordView(
  record: WorkRecord,
  name: string | null,
  zone: string,
  costs: boolean,
): WorkRecordView {
  const { performedBy, revisions, distance, minutes, cost, notes } = record;
  const last = revisions.at(-1);
  return {
    id: record.id,
    doneOn: record.doneOn,
    titles: record.tasks.map(({ title }) => title),
    by: { name, ...(performedBy.trade !== undefined && { trade: performedBy.trade }) },
    window: record.inWindow,
    status: record.status,
    findings: record.findings.map(findingView),
    parts: record.parts.map(({ name: part, number, quantity }) => ({
      name: part,
      ...(number !== undefined && { number }),
      ...(quantity !== undefined && { quantity: String(quantity) }),
    })),
    ...(distance !== null && { reading: distance }),
    ...(last && { reason: last.reason }),
    ...(revisions.length > 0 && { revisions: revisions.map((one) => revisionView(one, zone)) }),
    ...(minutes !== null && { minutes }),
    ...(costs && cost && { cost }),
    ...(notes !== null && { notes }),
  };
}

/** What an amended record said before. */
function revisionView({ at, what, reason, before }: WorkRevision, zone: string) {
  const said = before as
    | { doneOn?: string; distance?: number | null; notes?: string | null }
    | undefined;
  const told = {
    ...(said?.doneOn !== undefined && { doneOn: said.doneOn }),
    ...(said?.distance != null && { reading: said.distance }),
    ...(said?.notes != null && { notes: said.notes }),
  };
  const any = Object.keys(told).length > 0;
  return { on: dateAt(at, zone), what, reason, ...(any && { before: told }) };
}

/** A finding as people are shown it. */
export function findingView(finding: Finding): FindingView {
  const { leavesToTry: _leaves, ...point } = pointView(finding.point);
  const { asFound, asLeft, judged, judgedAsLeft, condition, note } = finding;
  return {
    point,
    asFound: asFound as FindingView["asFound"],
    verdict: judged.verdict,
    ...(asLeft && { asLeft: asLeft as NonNullable<FindingView["asLeft"]> }),
    ...(judgedAsLeft && { verdictLeft: judgedAsLeft.verdict }),
    ...(condition && { condition }),
    ...(note !== undefined && { note }),
  };
}
