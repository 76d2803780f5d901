import type { Client } from "pg";

const TABLES = `select c.relname as name,
    (select string_agg('  ' || a.attname || ' ' || format_type(a.atttypid, a.atttypmod)
        || case when a.attnotnull then ' not null' else '' end
        || case when a.attidentity <> '' then ' generated always as identity'
                when d.adbin is not null then ' default ' || pg_get_expr(d.adbin, d.adrelid) else '' end,
        E',\\n' order by a.attnum)
     from pg_attribute a left join pg_attrdef d on d.adrelid = a.attrelid and d.adnum = a.attnum
     where a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped) as columns
  from pg_class c where c.relnamespace = 'public'::regnamespace and c.relkind = 'r'
    and c.relname <> '_prisma_migrations' order by 1`;

const LINES: readonly string[] = [
  `select 'alter table ' || conrelid::regclass || ' add constraint ' || conname || ' ' || pg_get_constraintdef(oid) as line
   from pg_constraint where connamespace = 'public'::regnamespace and contype not in ('n', 't')
     and conrelid <> coalesce(to_regclass('_prisma_migrations'), 0::regclass) order by 1`,
  `select indexdef as line from pg_indexes where schemaname = 'public' and tablename <> '_prisma_migrations'
     and indexname not in (select conname from pg_constraint) order by 1`,
  `select 'alter table ' || relname || case when relrowsecurity then ' enable' else ' disable' end || ' row level security'
     || case when relforcerowsecurity then ', force row level security' else '' end as line
   from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r' and relname <> '_prisma_migrations' order by 1`,
  `select 'create policy ' || policyname || ' on ' || tablename || ' for ' || lower(cmd)
     || coalesce(' using ' || qual, '') || coalesce(' with check ' || with_check, '') as line
   from pg_policies where schemaname = 'public' order by 1`,
  `select replace(pg_get_functiondef(p.oid), E'\\n', ' ') as line from pg_proc p
   where p.pronamespace = 'public'::regnamespace order by 1`,
  `select pg_get_triggerdef(t.oid) as line from pg_trigger t join pg_class c on c.oid = t.tgrelid
   where c.relnamespace = 'public'::regnamespace and not t.tgisinternal order by 1`,
  `select 'grant ' || string_agg(lower(privilege_type), ', ' order by privilege_type) || ' on ' || table_name || ' to ' || grantee as line
   from information_schema.role_table_grants where table_schema = 'public' and grantee = 'forewheel_app'
   group by table_name, grantee order by 1`,
];

/**
 * The database's catalogue written out as text, in an order that does not change: what the
 * migrations come to. The embedded server brings no dump program, so this asks the catalogue itself.
 */
export async function catalogueOf(client: Client): Promise<string> {
  const { rows: tables } = await client.query<{ name: string; columns: string }>(TABLES);
  const parts = tables.map(({ name, columns }) => `create table ${name} (\n${columns}\n);`);
  for (const query of LINES) {
    const { rows } = await client.query<{ line: string }>(query);
    parts.push(rows.map(({ line }) => `${line.trim()};`).join("\n"));
  }
  return `-- Written by "npm run migrate -- --write-catalogue"; compared with the database in the tests.\n\n${parts.join("\n\n")}\n`;
}
