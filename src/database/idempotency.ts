import type { Repeatable, Replay, StoredAnswer } from "../application/ports.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { sqlState } from "./errors.ts";
import type { Sql } from "./sql.ts";

/** How long an answer can be had again. */
export const KEPT_HOURS = 24;

/**
 * Does the work unless it was done before. The key is claimed inside the transaction that does the
 * work: a second request with the same key waits on the row until the first commits or fails, and a
 * crash leaves no claim behind.
 */
export async function answerOnce<A>(
  sql: Sql,
  request: Repeatable<A> | null,
  work: () => Promise<A>,
): Promise<A | Replay> {
  return answerOnceWith(sql, request, async () => null, work);
}

/** The same where the work begins with a look at the database, which then travels with the claim. */
export async function answerOnceWith<A, Seen>(
  sql: Sql,
  request: Repeatable<A> | null,
  look: () => Promise<Seen>,
  work: (seen: Seen) => Promise<A>,
): Promise<A | Replay> {
  if (!request) return work(await look());
  const [kept, seen] = await Promise.all([claim(sql, request), look()]);
  if (kept) return { replay: kept };
  const answer = await work(seen);
  await keep(sql, request, request.seal(answer));
  return answer;
}

type Key = Pick<Repeatable<never>, "scope" | "key" | "fingerprint">;

const CLAIM = `insert into idempotency (account_id, scope, key, fingerprint, created_at)
  values (current_account(), $1::text, $2::text, $3::text, now())
  on conflict (account_id, scope, key) do update
    set fingerprint = excluded.fingerprint, status = null, headers = null, body = null, created_at = now()
    where idempotency.created_at < now() - interval '${KEPT_HOURS} hours'
  returning key`;

const KEPT = `select fingerprint, status, headers, body from idempotency
  where account_id = current_account() and scope = $1::text and key = $2::text`;

const KEEP = `update idempotency set status = $3::int, headers = $4::jsonb, body = $5::text
  where account_id = current_account() and scope = $1::text and key = $2::text`;

/** What the first request was answered, or null when this one is the first. */
async function claim(sql: Sql, { scope, key, fingerprint }: Key): Promise<StoredAnswer | null> {
  const claimed = await sql
    .query("claim-key", CLAIM, [scope, key, fingerprint])
    .catch(stillRunning);
  if (claimed.length === 1) return null;
  const [kept] = await sql.query<KeptRow>("kept-answer", KEPT, [scope, key]);
  if (!kept || kept.status === null) throw new Refusal({ kind: "idempotencyRunning" });
  if (kept.fingerprint !== fingerprint) throw new Refusal({ kind: "idempotencyMismatch" });
  return { status: kept.status, headers: kept.headers, body: kept.body };
}

/** The first request was waited for, as long as a lock is waited for. */
function stillRunning(error: unknown): never {
  throw sqlState(error) === "55P03" ? new Refusal({ kind: "idempotencyRunning" }) : error;
}

interface KeptRow {
  fingerprint: string;
  status: number | null;
  headers: Record<string, string>;
  body: string | null;
}

async function keep(sql: Sql, { scope, key }: Key, answer: StoredAnswer): Promise<void> {
  const { status, headers, body } = answer;
  await sql.send("keep-answer", KEEP, [scope, key, status, JSON.stringify(headers), body]);
}
