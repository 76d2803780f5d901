import type { FuzzRequest } from "./fuzz-request.ts";

/** A fault, told once however often it was found. */
export interface Finding {
  readonly operationId: string;
  readonly fault: string;
  readonly twist: string;
  /** A line that sends the request again. */
  readonly curl: string;
  times: number;
}

interface Row {
  valid: number;
  done: number;
  nearly: number;
  rotten: number;
  /** What a valid request was refused with, last. */
  refusal: string;
  readonly classes: Record<string, number>;
}

/** Figures that differ with each request do not make another finding. */
const PASSING = /[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}|\d+/g;
const LONGEST_BODY = 4000;

/** Counts a run, operation by operation. */
export class Tally {
  readonly rows = new Map<string, Row>();
  readonly findings = new Map<string, Finding>();
  requests = 0;

  constructor(operationIds: readonly string[]) {
    for (const id of operationIds) {
      this.rows.set(id, { valid: 0, done: 0, nearly: 0, rotten: 0, refusal: "", classes: {} });
    }
  }

  count({ operation, intent }: FuzzRequest, status: number, body?: Buffer): void {
    const row = this.rows.get(operation.operationId);
    if (row === undefined) return;
    this.requests += 1;
    row[intent] += 1;
    const sort = status === 0 ? "none" : `${Math.floor(status / 100)}xx`;
    row.classes[sort] = (row.classes[sort] ?? 0) + 1;
    if (intent !== "valid") return;
    if (status >= 200 && status < 400) row.done += 1;
    else row.refusal = body?.toString("utf8", 0, 400) ?? "";
  }

  /** Answers the finding where it is the first of its kind. */
  find(request: FuzzRequest, fault: string, origin: string): Finding | null {
    const { operationId } = request.operation;
    const name = `${operationId} ${fault.replaceAll(PASSING, "#")}`;
    const known = this.findings.get(name);
    if (known !== undefined) {
      known.times += 1;
      return null;
    }
    const curl = curlOf(request, origin);
    const found = { operationId, fault, twist: request.twist, curl, times: 1 };
    this.findings.set(name, found);
    return found;
  }

  /** Operations of which no valid request was ever answered 2xx or 304. */
  neverDone(): string[] {
    return [...this.rows]
      .filter(([, { done }]) => done === 0)
      .map(
        ([name, { valid, refusal }]) => `${name} (${valid} tries; ${refusal || "none refused"})`,
      );
  }

  lines(): string[] {
    const head = [
      "operation",
      "requests",
      "valid",
      "done",
      "nearly valid",
      "rotten",
      "2xx",
      "3xx",
      "4xx",
      "5xx",
      "none",
    ];
    const rows = [...this.rows].map(([name, { valid, done, nearly, rotten, classes }]) => [
      ...[name, valid + nearly + rotten, valid, share(done, valid), nearly, rotten],
      ...["2xx", "3xx", "4xx", "5xx", "none"].map((sort) => classes[sort] ?? 0),
    ]);
    return [head, head.map(() => "---"), ...rows].map((cells) => `| ${cells.join(" | ")} |`);
  }

  findingLines(): string[] {
    return [...this.findings.values()].flatMap(linesOf);
  }
}

export function linesOf({ operationId, fault, twist, curl, times }: Finding): string[] {
  return [`- ${operationId}, ${times} times: ${fault}`, `  where ${twist}: ${curl}`];
}

function share(part: number, whole: number): string {
  return whole === 0 ? "-" : `${Math.round((100 * part) / whole)} %`;
}

function curlOf({ method, url, headers, body }: FuzzRequest, origin: string): string {
  const fields = Object.entries(headers).map(
    ([name, value]) => `-H ${quoted(`${name}: ${value}`)}`,
  );
  const text = body?.toString("utf8");
  const data =
    text === undefined
      ? ""
      : text.length > LONGEST_BODY
        ? ` # with ${body?.length} bytes that begin ${quoted(text.slice(0, 80))}`
        : ` --data-binary ${quoted(text)}`;
  return `curl -si -X ${method} ${quoted(origin + url)} ${fields.join(" ")}${data}`;
}

function quoted(text: string): string {
  return `'${text.replaceAll("'", "'\\''")}'`;
}
