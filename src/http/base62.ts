const DIGITS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz";

/** The bytes as one big-endian number in base 62, padded with zeros to `length` characters. */
export function base62(bytes: Uint8Array, length: number): string {
  let rest = BigInt(`0x${Buffer.from(bytes).toString("hex")}`);
  let text = "";
  while (rest > 0n) {
    text = DIGITS.charAt(Number(rest % 62n)) + text;
    rest /= 62n;
  }
  return text.padStart(length, "0");
}
