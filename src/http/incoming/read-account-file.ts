import { createHash } from "node:crypto";
import { z } from "zod";
import type { AccountRow, ReadRow, RowSource } from "../../application/imports/ports.ts";
import { ACCOUNT_FORMAT } from "../account-file.ts";
import { parseJson } from "../json-body.ts";
import { ACCOUNT_ROWS } from "../schemas/account-rows.ts";
import { unsoundParts } from "../soundness.ts";
import { WireRefusal } from "../wire-failure.ts";
import { checked } from "./cells.ts";
import { linesOf } from "./lines-of.ts";

const header = z.strictObject({
  format: z.literal(ACCOUNT_FORMAT),
  account: z.looseObject({ name: z.string() }),
});
const row = z.strictObject({
  resource: z.string().refine((name) => Object.hasOwn(ACCOUNT_ROWS, name), "is not known here"),
  row: z.record(z.string(), z.json()),
});
const end = z.strictObject({ end: z.literal(true), rows: z.int().min(0) });

const AT_A_TIME = 500;

/**
 * The file of an account as it comes, line by line.
 * @throws WireRefusal malformed where it is none, or breaks off before its last line
 */
export function readAccountFile(bytes: AsyncIterable<Buffer>): RowSource<AccountRow> {
  const hash = createHash("sha256");
  return {
    digest: () => hash.copy().digest("hex"),
    async *[Symbol.asyncIterator]() {
      let number = 0;
      let ended: number | null = null;
      let rows: ReadRow<AccountRow>[] = [];
      for await (const text of linesOf(bytes, hash)) {
        number += 1;
        const value = parseJson(text, `Line ${number}`);
        if (number === 1) requireHeader(value);
        else if (ended !== null) throw malformed(`Line ${number} stands after the end.`);
        else if (end.safeParse(value).success) ended = end.parse(value).rows;
        else rows.push(rowOf(value, number));
        if (rows.length < AT_A_TIME) continue;
        yield rows;
        rows = [];
      }
      if (ended === null)
        throw malformed('The file breaks off: its last line is not {"end":true}.');
      if (ended !== number - 2)
        throw malformed(`The file has not the ${ended} rows that it tells of.`);
      if (rows.length > 0) yield rows;
    },
  };
}

function requireHeader(value: unknown): void {
  if (header.safeParse(value).success) return;
  throw malformed(`The first line must tell format ${ACCOUNT_FORMAT} and the account.`);
}

function rowOf(value: unknown, line: number): ReadRow<AccountRow> {
  const unsound = unsoundParts(value);
  if (unsound.length > 0) {
    return { line, faults: unsound.map(({ detail }) => ({ column: null, detail })) };
  }
  const outer = checked(row, value as Record<string, unknown>);
  if ("faults" in outer) return { line, faults: outer.faults };
  const { resource, row: fields } = outer.value as AccountRow;
  const inner = checked(ACCOUNT_ROWS[resource], fields);
  return "faults" in inner
    ? { line, faults: inner.faults }
    : { line, value: { resource, row: fields } };
}

function malformed(detail: string): WireRefusal {
  return new WireRefusal({ kind: "malformed", detail });
}
