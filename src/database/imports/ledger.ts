import type { ImportLedger, VehicleFacts } from "../../application/imports/ports.ts";
import type { New } from "../../application/ports.ts";
import type { Import, ImportRow } from "../../application/records.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { answerOnce } from "../idempotency.ts";
import { inMs, type Sql } from "../sql.ts";

/** Imports of one account that may run at a time. */
const PLACES = 2;
const RETRY_AFTER = 10;

/** A lock of the transaction, so that a process that ends leaves no place taken. */
const TAKE = `select pg_try_advisory_xact_lock(hashtextextended('import ' || current_account()::text, $1::bigint)) as taken`;

const CLOCK = `select ${inMs("clock")} as clock from account where id = current_account()`;

const IMPORT = `json_build_object('id', i.id, 'version', i.version, 'createdAt', ${inMs("i.created_at")},
  'updatedAt', ${inMs("i.updated_at")}, 'kind', i.kind, 'dryRun', i.dry_run, 'status', i.status,
  'counts', i.counts, 'digest', i.digest, 'keyId', i.key_id, 'externalId', i.external_id)`;

const APPLIED = `select ${IMPORT} as import from import i
  where i.account_id = current_account() and i.external_id = $1::text and i.status = 'applied'`;

const KEEP = `insert into import (account_id, id, kind, dry_run, status, counts, digest, key_id, external_id,
    created_at, updated_at)
  select current_account(), i.id, i.kind, i."dryRun", i.status, i.counts, i.digest, i."keyId", i."externalId",
    $2::timestamptz, $2::timestamptz
  from jsonb_to_record($1::jsonb) as i (id uuid, kind text, "dryRun" boolean, status text, counts jsonb,
    digest text, "keyId" uuid, "externalId" text)`;

const KEEP_ROWS = `insert into import_row (account_id, import_id, number, line, outcome, column_name, detail, resource_id)
  select current_account(), $2::uuid, r.number, r.line, r.outcome, r."column", r.detail, r."resourceId"
  from jsonb_to_recordset($1::jsonb) as r (number int, line int, outcome text, "column" text, detail text,
    "resourceId" uuid)`;

const NAMED = `select json_build_object('id', v.id, 'externalId', v.external_id, 'meterUnit', v.meter_unit,
    'hoursMeter', v.hours_meter, 'responsibleMemberId', v.responsible_member_id) as vehicle
  from vehicle v
  where v.account_id = current_account() and (v.id = any($1::uuid[]) or v.external_id = any($2::text[]))`;

export function ledgerOn(sql: Sql, accountId: string): ImportLedger {
  return {
    accountId,
    async clock() {
      const [row] = await sql.query<{ clock: number | null }>("clock", CLOCK, []);
      return row?.clock ?? null;
    },
    async takePlace() {
      for (let place = 1; place <= PLACES; place += 1) {
        const [row] = await sql.query<{ taken: boolean }>("take-place", TAKE, [place]);
        if (row?.taken) return;
      }
      const quota = { requests: PLACES, seconds: RETRY_AFTER };
      throw new Refusal({
        ...{ kind: "tooManyRequests", retryAfter: RETRY_AFTER },
        ...{ policy: "imports", quota },
      });
    },
    async applied(externalId) {
      const [row] = await sql.query<{ import: Import }>("applied-import", APPLIED, [externalId]);
      return row?.import ?? null;
    },
    keep: (row, rows) => keep(sql, row, rows),
    async vehiclesNamed(ids, externalIds) {
      const rows = await sql.query<{ vehicle: VehicleFacts }>("vehicles-named", NAMED, [
        ids,
        externalIds,
      ]);
      return rows.map(({ vehicle }) => vehicle);
    },
    once: (request, work) => answerOnce(sql, request, work),
  };
}

async function keep(sql: Sql, row: New<Import>, rows: readonly ImportRow[]): Promise<Import> {
  await sql.query("keep-import", KEEP, [
    JSON.stringify(row),
    new Date(row.createdAt).toISOString(),
  ]);
  const numbered = rows.map((one, index) => ({ ...one, number: index + 1 }));
  await sql.query("keep-import-rows", KEEP_ROWS, [JSON.stringify(numbered), row.id]);
  return { ...row, version: 1 };
}
