import { until } from "../../support/until.ts";
import type { Stage } from "./stage.ts";

/** What became of the reminders that were due, by the rows and by what the mail server took. */
export interface Tally {
  due: number;
  /** Messages that the mail server took. */
  sent: number;
  /** Reminders that are failed, with a reason in words. */
  failed: number;
  /** Reminders that were neither taken by the mail server nor failed with a reason. */
  lost: number;
  /** Takings beyond the first of each message. */
  repeated: number;
  /** Takings under a Message-ID that no row has. */
  strange: number;
}

interface DueRow {
  status: string | null;
  answer: string | null;
  header: string | null;
}

export async function tally({ owner, sink }: Stage): Promise<Tally> {
  const { rows } = await owner.query<DueRow>(
    `select m.status, m.last_answer as answer, m.message_id_header as header
     from reminder r left join message m on m.account_id = r.account_id and m.id = r.message_id
     where r.planned_for <= now() and r.status <> 'cancelled'`,
  );
  const headers = await owner.query<{ header: string }>(
    "select message_id_header as header from message",
  );
  const known = new Set(headers.rows.map(({ header }) => header));
  const taken = [...sink.taken];
  const isTaken = ({ header }: DueRow) => header !== null && sink.taken.has(header);
  const hasFailed = ({ status, answer }: DueRow) => status === "failed" && (answer ?? "") !== "";
  return {
    due: rows.length,
    sent: taken.length,
    failed: rows.filter(hasFailed).length,
    lost: rows.filter((row) => !isTaken(row) && !hasFailed(row)).length,
    repeated: taken.reduce((sum, [, times]) => sum + times.length - 1, 0),
    strange: taken.filter(([messageId]) => !known.has(messageId)).length,
  };
}

/** Waits until every message is settled: sent, failed or not wanted; answers how long that took, in ms. */
export async function settled(stage: Stage, limitMs: number): Promise<number> {
  const begun = Date.now();
  await until(async () => (await unsettled(stage)) === 0, limitMs).catch(() => {});
  return Date.now() - begun;
}

/** Waits until so many reminders have come due. */
export async function untilAllDue({ owner }: Stage, count: number): Promise<void> {
  await until(async () => {
    const { rows } = await owner.query<{ n: number }>(
      "select count(*)::int as n from reminder where planned_for <= now()",
    );
    return (rows[0]?.n ?? 0) >= count;
  }, 120_000);
}

/** Ids of the messages that some worker holds. */
export async function sendingNow({ owner }: Stage): Promise<string[]> {
  const { rows } = await owner.query<{ id: string }>(
    "select id::text from message where status = 'sending'",
  );
  return rows.map(({ id }) => id);
}

/** Waits until these messages are settled; answers how long that took, in ms. */
export async function settledOf(
  { owner }: Stage,
  ids: readonly string[],
  limitMs: number,
): Promise<number> {
  const begun = Date.now();
  const open = async () => {
    const { rowCount } = await owner.query(
      "select from message where id = any ($1::uuid[]) and status in ('waiting', 'sending', 'unknown')",
      [ids],
    );
    return rowCount;
  };
  await until(async () => (await open()) === 0, limitMs);
  return Date.now() - begun;
}

/** Reminders that are due and whose message is not settled. */
export async function unsettled({ owner }: Stage): Promise<number> {
  const { rows } = await owner.query<{ n: number }>(
    `select count(*)::int as n from reminder r
     left join message m on m.account_id = r.account_id and m.id = r.message_id
     where r.planned_for <= now() and r.status <> 'cancelled'
       and (m.status is null or m.status in ('waiting', 'sending', 'unknown'))`,
  );
  return rows[0]?.n ?? 0;
}

/** Lets messages that wait for their next attempt be tried now, as if that time had passed. */
export async function passRetryTime({ owner }: Stage): Promise<void> {
  await owner.query(
    "update message set next_attempt_at = now() where status in ('waiting', 'unknown')",
  );
}

/** How many messages are in each state. */
export async function states({ owner }: Stage): Promise<Record<string, number>> {
  const { rows } = await owner.query<{ status: string; n: number }>(
    "select status, count(*)::int as n from message group by status",
  );
  return Object.fromEntries(rows.map(({ status, n }) => [status, n]));
}
