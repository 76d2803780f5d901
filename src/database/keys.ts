import type { ApiKey, Role } from "../application/records.ts";
import type { Connections } from "./client.ts";
import { clientStatement } from "./client-transaction.ts";

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

/** The key with that public id, before it is known whose it is; null when there is none. */
export async function findPresentedKey(
  { pool }: Connections,
  publicId: string,
): Promise<PresentedKey | null> {
  const statement = { name: "find-key", text: FIND, values: [publicId] };
  const rows = await clientStatement<PresentedKey>(pool, { "forewheel.key": publicId }, statement);
  return rows[0] ?? null;
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
    const values = [keyId, new Date(at).toISOString()];
    const statement = { name: "key-used", text: USED, values };
    clientStatement(pool, { "forewheel.account": accountId }, statement).catch(onError);
  };
}
