import type { Collection, ImportFilter, PageOf, PageRequest } from "../../application/ports.ts";
import type { Import, ImportRow } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import type { Sql } from "../sql.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { given, since } from "./filters.ts";

export function imports(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<Import, ImportFilter> {
  return collectionOn<Import, ImportFilter>(() => prisma.import as unknown as Delegate, accountId, {
    order: "createdAt",
    where: ({ kind, status, externalId, keyId, updatedAfter }) =>
      given({ kind, status, externalId, keyId, updatedAt: since(updatedAfter) }),
  });
}

const ROWS = `select number, line, outcome, column_name as "column", detail, resource_id::text as "resourceId"
  from import_row
  where account_id = current_account() and import_id = $1::uuid
    and ($2::text is null or outcome = $2::text) and number > $3::int
  order by number limit $4::int`;

/** In the order of the lines: a row's number is its place. */
export async function importRows(
  sql: Sql,
  importId: string,
  outcome: string | undefined,
  { after, limit }: PageRequest,
): Promise<PageOf<ImportRow>> {
  const from = Number(after?.key ?? 0);
  const values = [importId, outcome ?? null, from, limit + 1];
  const rows = await sql.query<ImportRow & { number: number }>("import-rows", ROWS, values);
  const shown = rows.slice(0, limit);
  const last = shown.at(-1);
  return {
    items: shown.map(({ number: _place, ...row }) => row),
    next: rows.length > limit && last ? { key: last.number, id: importId } : null,
  };
}
