import { AccountGone } from "../application/account-gone.ts";
import type { SendingTransaction, Transaction } from "../application/ports.ts";
import type { Member, Message, Reading } from "../application/records.ts";
import { accounts } from "./collections/accounts.ts";
import { calendarFeeds } from "./collections/calendar-feeds.ts";
import { importRows, imports } from "./collections/imports.ts";
import { layUps, meterChanges, readings, vehicles } from "./collections/machines.ts";
import { messages, reminders } from "./collections/mail.ts";
import { keyFamily, keys, members } from "./collections/people.ts";
import { scheduledTasks, schedules } from "./collections/schedules.ts";
import { tasks } from "./collections/tasks.ts";
import { webhookEndpoints } from "./collections/webhook-endpoints.ts";
import { setWorkedTasks, work } from "./collections/work.ts";
import { digestStore } from "./digest-outbox.ts";
import { endOfEvents, listEvents } from "./events.ts";
import type { Prisma } from "./generated/client.ts";
import { loadLetter } from "./letter.ts";
import { loadMachine, loadMachines, lockMachine } from "./machine/load-machine.ts";
import { replanMachinesOf } from "./machine/replan-machines.ts";
import { writeChanges } from "./machine/write-changes.ts";
import { noteOutcome } from "./note-outcome.ts";
import { decodeRow } from "./row.ts";
import { inMs, type Sql, sqlOfPrisma } from "./sql.ts";
import { toldTasks } from "./told-tasks.ts";
import { passOverEvents, redeliverFailed, webhookLetter } from "./webhook-outbox.ts";

/** The account's rows through a transaction that Prisma opened and `tenancy.ts` scoped. */
export function transactionOn(prisma: Prisma.TransactionClient, accountId: string): Transaction {
  const sql = sqlOfPrisma(prisma);
  const allMessages = messages(prisma, accountId);
  return {
    accountId,
    accounts: accounts(prisma, accountId),
    members: members(prisma, accountId),
    async owner() {
      const owner = await prisma.member.findFirst({ where: { accountId, role: "owner" } });
      if (owner === null) throw new AccountGone();
      return decodeRow<Member>(owner);
    },
    keys: keys(prisma, accountId),
    keyFamily: keyFamily(prisma, accountId),
    vehicles: vehicles(prisma, accountId),
    meterChanges: meterChanges(prisma, accountId),
    layUps: layUps(prisma, accountId),
    readings: readings(prisma, accountId),
    readingByExternalId: (externalId) => readingByExternalId(sql, externalId),
    setTotals: (totals, at) => setTotals(sql, totals, at),
    tasks: tasks(prisma, accountId),
    schedules: schedules(prisma, accountId),
    scheduled: scheduledTasks(prisma, accountId),
    told: toldTasks(sql),
    work: work(prisma, accountId),
    setWorkedTasks: (recordId, worked) => setWorkedTasks(prisma, accountId, recordId, worked),
    reminders: reminders(prisma, accountId),
    messages: allMessages,
    async messageByDedupe(dedupe): Promise<Message | null> {
      const row = await prisma.message.findFirst({
        where: { accountId, dedupe },
        select: { id: true },
      });
      return row ? allMessages.find(row.id) : null;
    },
    digests: digestStore(sql),
    calendarFeeds: calendarFeeds(prisma, accountId),
    webhookEndpoints: webhookEndpoints(prisma, accountId),
    passOverEvents: (endpointId) => passOverEvents(sql, endpointId),
    redeliverFailed: (endpointId, since, now) => redeliverFailed(sql, endpointId, since, now),
    events: {
      list: (filter, page) => listEvents(sql, filter, page),
      end: () => endOfEvents(sql),
    },
    imports: imports(prisma, accountId),
    importRows: (importId, outcome, page) => importRows(sql, importId, outcome, page),
    useNonce: (nonce, at) => useNonce(sql, nonce, at),
    ...sendingOn(sql),
  };
}

export function sendingOn(sql: Sql): SendingTransaction {
  return {
    letter: (messageId) => loadLetter(sql, messageId),
    noteOutcome: (claimed, outcome, sent, now) => noteOutcome(sql, claimed, outcome, sent, now),
    webhookLetter: (messageId) => webhookLetter(sql, messageId),
    machine: machineStore(sql),
  };
}

export function machineStore(sql: Sql): Transaction["machine"] {
  return {
    lock: (vehicleId) => lockMachine(sql, vehicleId),
    load: (vehicleId, lock) => loadMachine(sql, vehicleId, lock),
    loadMany: (filter) => loadMachines(sql, filter),
    write: (changes, at) => writeChanges(sql, changes, at),
    replanOf: (memberId, at) => replanMachinesOf(sql, memberId, at),
  };
}

export async function readingByExternalId(sql: Sql, externalId: string): Promise<Reading | null> {
  const rows = await sql.query<{ reading: Reading }>("reading-by-external-id", READING, [
    externalId,
  ]);
  return rows[0]?.reading ?? null;
}

const READING = `select jsonb_build_object('id', id, 'vehicleId', vehicle_id, 'meter', meter, 'at', ${inMs("at")},
    'value', value, 'unit', unit, 'total', total, 'status', status, 'confirmed', confirmed, 'reasons', reasons,
    'source', source, 'note', note, 'replacesId', replaces_id, 'workRecordId', work_record_id,
    'externalId', external_id, 'version', version, 'createdAt', ${inMs("created_at")}, 'updatedAt', ${inMs("updated_at")}) as reading
  from reading where account_id = current_account() and external_id = $1::text`;

async function setTotals(
  sql: Sql,
  totals: readonly { id: string; total: number }[],
  at: number,
): Promise<void> {
  await sql.query(
    "set-totals",
    `update reading set total = n.total, version = version + 1, updated_at = $2::timestamptz
     from jsonb_to_recordset($1::jsonb) as n (id uuid, total float8)
     where account_id = current_account() and reading.id = n.id`,
    [JSON.stringify(totals), new Date(at).toISOString()],
  );
}

async function useNonce(sql: Sql, nonce: string, at: number): Promise<boolean> {
  const rows = await sql.query(
    "use-nonce",
    `insert into link_use (account_id, nonce, used_at, outcome)
     values (current_account(), $1::text, $2::timestamptz, '{}') on conflict do nothing returning nonce`,
    [nonce, new Date(at).toISOString()],
  );
  return rows.length === 1;
}
