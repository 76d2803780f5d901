import type { Bulk } from "./bulk-transaction.ts";

type Cells = readonly unknown[];

/**
 * The rows of a query as lists of cells, so many at a time: the next ones are on their way while the
 * last are worked on. Ends with its transaction.
 */
export async function* cursorRows<T>(
  { client, turn }: Bulk,
  name: string,
  query: string,
  size: number,
  read: (cells: Cells) => T,
): AsyncGenerator<T[]> {
  await turn(() => client.query(`declare ${name} no scroll cursor for ${query}`));
  const text = `fetch ${size} from ${name}`;
  const fetch = () => turn(() => client.query<unknown[]>({ text, rowMode: "array" }));
  for (let next = fetch(); ; ) {
    const { rows } = await next;
    if (rows.length === 0) return;
    next = fetch();
    yield rows.map(read);
  }
}
