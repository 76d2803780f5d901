import type { RateCount, RateCounts } from "../application/rate-counts.ts";
import type { Connections } from "./client.ts";
import { clientStatement, type Settings } from "./client-transaction.ts";

/** Nothing here is worth waiting for a disk. */
export const UNWAITED: Settings = { synchronous_commit: "off" };

/**
 * Adds one to a row of `rate_count as c`, or begins its next window. All goes by `now()`, which stands
 * still in a transaction: whoever waited for the row is counted in the window that it finds there, and
 * each window lets exactly its quota through.
 */
export const COUNT_ONE = `on conflict (policy, who) do update set
    used = case when c.ends_at > now() then c.used + 1 else 1 end,
    ends_at = case when c.ends_at > now() then c.ends_at else excluded.ends_at end
  returning used, ${msLeft("ends_at")} as "msLeft"`;

const ADD = `insert into rate_count as c (policy, who, ends_at, used)
  values ($1::text, $2::text, now() + $3::float8 * interval '1 second', 1)
  ${COUNT_ONE}`;

const LOOK = `select used, ${msLeft("ends_at")} as "msLeft" from rate_count
  where policy = $1::text and who = $2::text and ends_at > now()`;

/** Milliseconds from now on, by the database's clock. */
export function msLeft(column: string): string {
  return `(extract(epoch from ${column} - now()) * 1000)::float8`;
}

/** Counts in the database, for all processes together: one round trip, one row of an unlogged table. */
export function rateCountsOn({ pool }: Connections): RateCounts {
  const ask = (name: string, text: string, values: unknown[]) =>
    clientStatement<RateCount>(pool, UNWAITED, { name, text, values });
  return {
    async add(policy, who, quota) {
      const [count] = await ask("count-request", ADD, [policy, who, quota.seconds]);
      return count as RateCount;
    },
    async look(policy, who) {
      return (await ask("look-at-count", LOOK, [policy, who]))[0] ?? null;
    },
  };
}
