import type pg from "pg";
import type { Sql } from "./sql.ts";

/** Runs what it is given one after another on a connection that takes one thing at a time. */
export type InTurn = <T>(work: () => Promise<T>) => Promise<T>;

export function inTurn(): InTurn {
  let last: Promise<unknown> = Promise.resolve();
  return (work) => {
    const mine = last.then(work, work);
    // It may fail before anybody waits for it; whoever asked is told.
    mine.catch(() => {});
    last = mine;
    return mine;
  };
}

/** Statements by hand that wait for their turn. */
export function sqlInTurn(client: pg.PoolClient, turn: InTurn): Sql {
  const query = <Row>(name: string, text: string, values: readonly unknown[]) =>
    turn(async () => (await client.query({ name, text, values: [...values] })).rows as Row[]);
  return {
    query,
    async send(name, text, values) {
      await query(name, text, values);
    },
  };
}
