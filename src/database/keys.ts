import type { Quota, RateCount } from "../application/rate-counts.ts";
import type { ApiKey, Role } from "../application/records.ts";
import type { Connections } from "./client.ts";
import { clientStatement } from "./client-transaction.ts";
import { COUNT_ONE, msLeft, UNWAITED } from "./rate-counts.ts";

/** A key as it came with a request. */
export interface AskedKey {
  readonly publicId: string;
  /** SHA-256 of the secret that came with it. */
  readonly secretHash: Uint8Array;
  /** Where the request came from. */
  readonly address: string;
  /** The web page's origin, where a browser asks. */
  readonly origin: string | null;
  /** What is counted and checked by the same look; null where something else does. */
  readonly quotas: { readonly key: Quota; readonly refusedKeys: Quota } | null;
}

/** A key as authentication needs it, with the account that it opens. */
export interface PresentedKey {
  accountId: string;
  keyId: string;
  secretHash: Buffer;
  scopes: ApiKey["scopes"];
  member: { id: string; role: Role } | null;
  vehicleIds: string[] | null;
  shortLived: boolean;
  expiresAt: number | null;
  revokedAt: number | null;
  /** Whether its account lets pages of the asked origin call. */
  originAllowed: boolean;
}

/** What one look finds. */
export interface KeyLook {
  /** Null when there is none, or when the address has used up its refusals. */
  key: PresentedKey | null;
  /** Requests of the key with this one, where its secret is right and the look counts. */
  counted: RateCount | null;
  /** Refusals of the address, where they are used up. */
  refused: RateCount | null;
}

const KEY = `k.account_id as "accountId", k.id as "keyId", k.secret_hash as "secretHash", k.scopes,
    case when m.id is not null then jsonb_build_object('id', m.id, 'role', m.role) end as member,
    case when cardinality(k.vehicle_ids) > 0 then k.vehicle_ids::text[] end as "vehicleIds",
    k.parent_id is not null as "shortLived",
    (extract(epoch from k.expires_at) * 1000)::float8 as "expiresAt",
    (extract(epoch from k.revoked_at) * 1000)::float8 as "revokedAt",
    exists (select from allowed_origin o where o.account_id = k.account_id and o.origin = $2::text) as "originAllowed"
  from api_key k left join member m on m.account_id = k.account_id and m.id = k.member_id
  where k.public_id = $1::text`;

const FIND = `select null as counted, null as refused, found.* from (select ${KEY}) found`;

/**
 * The same, and in the same round trip: no key is looked for once the address has used up its
 * refusals, and a request with the right secret is counted. Whether it is right is compared again in
 * the process, in constant time; here a wrong one must not use up the key's quota.
 */
const FIND_AND_COUNT = `with refused as (
    select used, ${msLeft("ends_at")} as "msLeft" from rate_count
    where policy = 'refusedKeys' and who = $3::text and used >= $4::int and ends_at > now()
  ), found as (
    select ${KEY} and not exists (select from refused)
  ), counted as (
    insert into rate_count as c (policy, who, ends_at, used)
    select 'key', found."keyId"::text, now() + $5::float8 * interval '1 second', 1
    from found where found."secretHash" = $6::bytea
    ${COUNT_ONE}
  )
  select (select to_jsonb(counted) from counted) as counted, (select to_jsonb(refused) from refused) as refused, found.*
  from (select) one left join found on true`;

type Found = { counted: RateCount | null; refused: RateCount | null } & (
  | PresentedKey
  | { accountId: null }
);

/** Looks for a key before it is known whose it is, in one round trip. */
export async function findPresentedKey(
  { pool }: Connections,
  { publicId, secretHash, address, origin, quotas }: AskedKey,
): Promise<KeyLook> {
  const settings = { "forewheel.key": publicId, ...(origin && { "forewheel.origin": origin }) };
  const plain = { name: "find-key", text: FIND, values: [publicId, origin] };
  const rows = quotas
    ? await clientStatement<Found>(
        pool,
        { ...settings, ...UNWAITED },
        {
          name: "find-and-count-key",
          text: FIND_AND_COUNT,
          values: [
            ...[publicId, origin, address, quotas.refusedKeys.requests, quotas.key.seconds],
            Buffer.from(secretHash),
          ],
        },
      )
    : await clientStatement<Found>(pool, settings, plain);
  const [found] = rows;
  if (!found) return { key: null, counted: null, refused: null };
  const { counted, refused, ...key } = found;
  return { key: key.accountId === null ? null : key, counted, refused };
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
