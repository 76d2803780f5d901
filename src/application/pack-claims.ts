import type { Instant } from "../domain/calendar/plain-date.ts";

export const LINK_PURPOSES = [
  "postReading",
  "logWork",
  "defer",
  "unsubscribe",
  "confirmAddress",
  "layUp",
] as const;

export type LinkPurpose = (typeof LINK_PURPOSES)[number];

/** What a mailed link allows: one purpose, one member, one machine, until it expires. */
export interface LinkClaims {
  purpose: LinkPurpose;
  accountId: string;
  memberId: string;
  vehicleId?: string;
  taskId?: string;
  reminderId?: string;
  /** The very address that is to be confirmed: another one asks anew. */
  email?: string;
  expiresAt: Instant;
}

const IDS = ["accountId", "memberId", "vehicleId", "taskId", "reminderId"] as const;

/**
 * Claims in few bytes, since a link must survive mail programs that break long lines: the purpose,
 * which ids are there, the ids, the expiry in seconds, the address.
 */
export function packClaims(claims: LinkClaims): Buffer {
  const there = IDS.filter((name) => claims[name] !== undefined);
  const mask = there.reduce((bits, name) => bits | (1 << IDS.indexOf(name)), 0);
  const expiry = Buffer.alloc(5);
  expiry.writeUIntBE(Math.floor(claims.expiresAt / 1000), 0, 5);
  return Buffer.concat([
    Buffer.from([LINK_PURPOSES.indexOf(claims.purpose), mask]),
    ...there.map((name) => Buffer.from(String(claims[name]).replaceAll("-", ""), "hex")),
    expiry,
    Buffer.from(claims.email ?? "", "utf8"),
  ]);
}

/** The claims of bytes that our own signature vouches for. */
export function unpackClaims(bytes: Buffer): LinkClaims {
  const there = IDS.filter((_name, index) => ((bytes[1] ?? 0) & (1 << index)) !== 0);
  const ids = there.map((name, index) => [name, uuidAt(bytes, 2 + 16 * index)]);
  const rest = 2 + 16 * there.length;
  const email = bytes.subarray(rest + 5).toString("utf8");
  return {
    purpose: LINK_PURPOSES[bytes[0] ?? 0] ?? "unsubscribe",
    ...(Object.fromEntries(ids) as Pick<LinkClaims, "accountId" | "memberId">),
    expiresAt: bytes.readUIntBE(rest, 5) * 1000,
    ...(email !== "" && { email }),
  };
}

function uuidAt(bytes: Buffer, offset: number): string {
  const hex = bytes.subarray(offset, offset + 16).toString("hex");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
