import type { Sql } from "./sql.ts";

/** From the catalogue itself, so that a table that is added cannot be forgotten. */
const TABLES = `select c.relname::text as name,
    coalesce(array_agg(distinct p.relname::text) filter (where p.oid <> c.oid), '{}') as parents
  from pg_class c
  join pg_attribute a on a.attrelid = c.oid and a.attname = 'account_id' and not a.attisdropped
  left join pg_constraint f on f.conrelid = c.oid and f.contype = 'f'
  left join pg_class p on p.oid = f.confrelid
  where c.relnamespace = 'public'::regnamespace and c.relkind in ('r', 'p') and c.relname <> 'deleted_account'
  group by c.relname order by c.relname`;

interface Table {
  readonly name: string;
  /** Tables that its foreign keys point to. */
  readonly parents: readonly string[];
}

/** Every table with rows of accounts, those that point to others before these; `account` itself is not among them. */
export async function tablesOfAccounts(sql: Sql): Promise<string[]> {
  return childrenFirst(await sql.query<Table>("tables-of-accounts", TABLES, []));
}

function childrenFirst(tables: readonly Table[]): string[] {
  const ordered: string[] = [];
  let open = [...tables];
  while (open.length > 0) {
    const pointedTo = new Set(open.flatMap(({ parents }) => parents));
    const free = open.filter(({ name }) => !pointedTo.has(name));
    if (free.length === 0) throw new Error(`Tables point to each other: ${open.map(nameOf)}`);
    ordered.push(...free.map(nameOf));
    open = open.filter((table) => !free.includes(table));
  }
  return ordered;
}

function nameOf({ name }: Table): string {
  return name;
}
