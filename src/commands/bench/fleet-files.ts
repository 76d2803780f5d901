import { Readable } from "node:stream";
import { MS_PER_DAY } from "../../domain/calendar/plain-date.ts";

export interface FleetSize {
  machines: number;
  readingsEach: number;
}

/** A file of vehicles, `import-1` and on, in pieces. */
export function* vehicleFile({ machines }: FleetSize): Iterable<string> {
  yield "name,kind,meterUnit,externalId\n";
  for (let n = 1; n <= machines; n += 1) yield `Bench ${n},motorcycle,km,import-${n}\n`;
}

/** Ten years of their readings up to that moment, in the order of time, some 15 km a day. */
export function* readingFile(
  { machines, readingsEach }: FleetSize,
  until: number,
): Iterable<string> {
  yield "vehicleExternalId,value,at\n";
  const stepDays = 3650 / readingsEach;
  for (let k = 0; k < readingsEach; k += 1) {
    const at = new Date(until - (readingsEach - k) * stepDays * MS_PER_DAY).toISOString();
    const value = (1000 + k * stepDays * 15 + (k % 3)).toFixed(1);
    let piece = "";
    for (let n = 1; n <= machines; n += 1) piece += `import-${n},${value},${at}\n`;
    yield piece;
  }
}

export interface ImportAnswer {
  status?: string;
  counts?: { recorded?: number };
}

/** Posts a file as it is made, and answers what the API says of it. */
export async function postFile(
  baseUrl: string,
  key: string,
  kind: "vehicles" | "readings",
  pieces: Iterable<string>,
): Promise<ImportAnswer> {
  const answer = await fetch(`${baseUrl}/v1/imports?kind=${kind}`, {
    method: "POST",
    headers: { authorization: `Bearer ${key}`, "content-type": "text/csv" },
    body: Readable.toWeb(bytesOf(pieces)) as ReadableStream,
    duplex: "half",
  } as RequestInit);
  return (await answer.json()) as ImportAnswer;
}

/** The pieces as a stream of bytes, which holds no more of them than its reader asks for. */
export function bytesOf(pieces: Iterable<string>): Readable {
  return Readable.from(encoded(pieces));
}

function* encoded(pieces: Iterable<string>): Iterable<Uint8Array> {
  const encoder = new TextEncoder();
  for (const piece of pieces) yield encoder.encode(piece);
}
