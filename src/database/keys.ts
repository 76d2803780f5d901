import pg from "pg";
import type { ApiKey, Role } from "../application/records.ts";
import type { Connections } from "./client.ts";
import { scopedTo } from "./outbox.ts";

/** A key as authentication needs it, with the account that it opens. */
export interface PresentedKey {
  accountId: string;
  keyId: string;
  secretHash: Buffer;
  scopes: ApiKey["scopes"];
  member: { id: string; role: Role } | null;
  vehicleIds: string[] | null;
  expiresAt: number | null;
  revokedAt: number | null;
}

const FIND = `select k.account_id as "accountId", k.id as "keyId", k.secret_hash as "secretHash", k.scopes,
    case when m.id is not null then jsonb_build_object('id', m.id, 'role', m.role) end as member,
    case when cardinality(k.vehicle_ids) > 0 then k.vehicle_ids::text[] end as "vehicleIds",
    (extract(epoch from k.expires_at) * 1000)::float8 as "expiresAt",
    (extract(epoch from k.revoked_at) * 1000)::float8 as "revokedAt"
  from api_key k left join member m on m.account_id = k.account_id and m.id = k.member_id
  where k.public_id = $1::text`;

/**
 * The key with that public id, before it is known whose it is; null when there is none. Both
 * statements travel as one message, which the server runs as one transaction: each request waits
 * for this once.
 * @throws RangeError for a public id that no key of ours can have
 */
export async function findPresentedKey(
  { pool }: Connections,
  publicId: string,
): Promise<PresentedKey | null> {
  if (!/^[0-9A-Za-z]{1,64}$/.test(publicId)) throw new RangeError("not the public id of a key");
  const name = pg.escapeLiteral(publicId);
  const scope = `select set_config('forewheel.key', ${name}, true)`;
  const answers = await pool.query(`${scope}; ${FIND.replace("$1::text", name)}`);
  const [, found] = answers as unknown as pg.QueryResult<PresentedKey>[];
  return found?.rows[0] ?? null;
}

const USED = `update api_key set last_used_at = $2::timestamptz
  where account_id = current_account() and id = $1::uuid
    and (last_used_at is null or last_used_at < $2::timestamptz)`;

/** A key in steady use is marked once in this time, or each request would write a row. */
const MARKED_EVERY_MS = 60_000;

/**
 * Marks when keys were last used, beside the request and at most once a minute for each. A mark that
 * cannot be written is told to `onError` and costs nobody anything.
 */
export function keyMarker({ pool }: Connections, onError: (error: Error) => void) {
  const marked = new Map<string, number>();
  return ({ accountId, keyId }: { accountId: string; keyId: string }, at: number): void => {
    if (at - (marked.get(keyId) ?? 0) < MARKED_EVERY_MS) return;
    if (marked.size >= 10_000) marked.clear();
    marked.set(keyId, at);
    scopedTo(pool, "forewheel.account", accountId, (sql) =>
      sql.query("key-used", USED, [keyId, new Date(at).toISOString()]),
    ).catch(onError);
  };
}
