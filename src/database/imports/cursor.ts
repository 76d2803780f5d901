import type pg from "pg";

type Cells = readonly unknown[];

/**
 * The rows of a query as lists of cells, so many at a time: the next ones are on their way while the
 * last are worked on. Ends with its transaction.
 */
export async function* cursorRows<T>(
  client: pg.PoolClient,
  name: string,
  query: string,
  size: number,
  read: (cells: Cells) => T,
): AsyncGenerator<T[]> {
  await client.query(`declare ${name} no scroll cursor for ${query}`);
  const fetch = () => {
    const fetched = client.query<unknown[]>({
      text: `fetch ${size} from ${name}`,
      rowMode: "array",
    });
    // It may fail before anybody waits for it; whoever asks for the rows is told.
    fetched.catch(() => {});
    return fetched;
  };
  for (let next = fetch(); ; ) {
    const { rows } = await next;
    if (rows.length === 0) return;
    next = fetch();
    yield rows.map(read);
  }
}
