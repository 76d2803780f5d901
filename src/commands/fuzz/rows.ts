import pg from "pg";

/** Answers to the operator are kept under an id that no account has. */
const OF_THE_OPERATOR = "00000000-0000-0000-0000-000000000000";

/**
 * What is wrong with the rows after a run: rows of accounts that it did not make, and rows that hold
 * the text of another account.
 */
export async function faultsInRows(
  ownerUrl: string,
  accountIds: ReadonlySet<string>,
): Promise<string[]> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    const { rows: tables } = await client.query<{ name: string }>(
      `select c.table_name as name from information_schema.columns c
         join information_schema.tables t using (table_schema, table_name)
        where c.table_schema = 'public' and c.column_name = 'account_id' and t.table_type = 'BASE TABLE'
          and c.table_name <> 'deleted_account'
        order by 1`,
    );
    const faults: string[] = [];
    for (const { name } of tables) {
      const { rows } = await client.query<{ n: number }>(
        `select count(*)::int as n from ${pg.escapeIdentifier(name)}
          where account_id is not null and not account_id = any($1::uuid[])`,
        [[...accountIds, OF_THE_OPERATOR]],
      );
      if (rows[0]?.n !== 0) faults.push(`${name} has ${rows[0]?.n} rows of accounts unknown here`);
      const { rows: mixed } = await client.query<{ n: number }>(
        `select count(*)::int as n from ${pg.escapeIdentifier(name)} t
           join account own on own.id = t.account_id and own.name ~ '^Riders mark'
           join account a on a.id <> t.account_id and a.name ~ '^Riders mark'
          where position(split_part(a.name, ' ', 2) in t::text) > 0`,
      );
      if (mixed[0]?.n !== 0)
        faults.push(`${name} has ${mixed[0]?.n} rows with another account's text`);
    }
    return faults;
  } finally {
    await client.end();
  }
}
