import { createHash, randomBytes, timingSafeEqual } from "node:crypto";
import { crc32 } from "node:zlib";
import { base62 } from "./base62.ts";

/**
 * An API key is `fw_<publicId>_<secret>_<checksum>`: 16 characters that name it (95 bits), 43 that
 * prove it (256 bits), and 6 of a CRC-32 over all before, so that a mistyped or cut-off key is told
 * from a wrong one without a look-up, and a scanner for leaked secrets finds few false ones.
 */
export interface ApiKey {
  readonly publicId: string;
  /** The whole key, shown once to its owner and never kept. */
  readonly text: string;
  /** SHA-256 of the secret, which is all that is stored: a random 256-bit secret needs no salt. */
  readonly secretHash: Buffer;
}

export interface ParsedApiKey {
  readonly publicId: string;
  readonly secret: string;
}

const SHAPE = /^fw_([0-9A-Za-z]{16})_([0-9A-Za-z]{43})_([0-9A-Za-z]{6})$/;

/** @param random 44 random bytes: 12 for the name, 32 for the secret. */
export function makeApiKey(random: Uint8Array = randomBytes(44)): ApiKey {
  // 62^16 < 2^96: one bit is dropped so that the name always fits its 16 characters.
  const name = Uint8Array.from(random.subarray(0, 12));
  name[0] = (name[0] ?? 0) & 0x7f;
  const publicId = base62(name, 16);
  const secret = base62(random.subarray(12, 44), 43);
  const body = `fw_${publicId}_${secret}`;
  return { publicId, text: `${body}_${checksum(body)}`, secretHash: hashSecret(secret) };
}

/** The parts of a key, or null when its shape or its checksum is not that of a key. */
export function parseApiKey(text: string): ParsedApiKey | null {
  const [, publicId, secret, sum] = SHAPE.exec(text) ?? [];
  if (publicId === undefined || secret === undefined) return null;
  return checksum(`fw_${publicId}_${secret}`) === sum ? { publicId, secret } : null;
}

export function hashSecret(secret: string): Buffer {
  return createHash("sha256").update(secret).digest();
}

/** Compares in a time that does not depend on where the two differ. */
export function hashesEqual(given: Uint8Array, secretHash: Uint8Array): boolean {
  return given.length === secretHash.length && timingSafeEqual(given, secretHash);
}

export function secretMatches(secret: string, secretHash: Uint8Array): boolean {
  return hashesEqual(hashSecret(secret), secretHash);
}

function checksum(body: string): string {
  const sum = Buffer.alloc(4);
  sum.writeUInt32BE(crc32(body));
  return base62(sum, 6);
}
