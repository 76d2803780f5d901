import {
  isJson,
  type OpenDocument,
  type Operation,
  type Parameter,
  resolve,
} from "../document/open-document.ts";
import type { Account } from "./account.ts";
import type { Dice } from "./dice.ts";
import { fromExample } from "./from-example.ts";
import { kindOf, type Place } from "./stock.ts";
import { type Source, validValue } from "./valid-value.ts";

/** A request before it is written down, so that single parts can still be changed. */
export interface Draft {
  readonly operation: Operation;
  readonly account: Account;
  place: Record<string, string>;
  query: [string, string][];
  headers: Record<string, string>;
  /** Absent for none. */
  body?: unknown;
}

/** A request that the document allows, about things that are there; undefined where there are none yet. */
export function validDraft(
  document: OpenDocument,
  operation: Operation,
  account: Account,
  operatorToken: string | undefined,
  dice: Dice,
): Draft | undefined {
  const place = placeFor(operation, account, dice);
  const token = tokenFor(operation, account, operatorToken);
  if (place === undefined || token === undefined) return undefined;
  const source = sourceOf(document, account, place, dice);
  const draft: Draft = {
    ...{ operation, account, place: { ...place }, query: [], headers: {} },
  };
  if (token !== null) draft.headers.authorization = `Bearer ${token}`;
  for (const parameter of operation.parameters ?? []) fill(draft, parameter, source);
  const content = Object.entries(operation.requestBody?.content ?? {});
  if (content.length > 0) {
    const [type, media] = dice.pick(content);
    draft.headers["content-type"] = type;
    const like = isJson(type) ? 0.65 : 1;
    draft.body =
      media.example !== undefined && dice.chance(like)
        ? fromExample(media, source)
        : validValue(media.schema ?? {}, source);
  }
  return draft;
}

function placeFor(operation: Operation, account: Account, dice: Dice): Place | undefined {
  const kind = kindOf(operation.path);
  if (kind === undefined) return {};
  const known = account.stock.pick(dice, kind);
  if (known !== undefined) return known;
  const parameter = operation.parameters?.find(({ name }) => name === kind);
  // What is listed in the document itself, such as the names of problems, need not be known before.
  const named = parameter?.schema.enum;
  return named ? { [kind]: String(dice.pick(named)) } : undefined;
}

/** Null for an operation that needs none. */
function tokenFor(
  { security = [] }: Operation,
  account: Account,
  operatorToken: string | undefined,
): string | null | undefined {
  if (security.length === 0) return null;
  return security.some((one) => "operatorToken" in one) ? operatorToken : account.key;
}

function sourceOf(document: OpenDocument, account: Account, place: Place, dice: Dice): Source {
  return {
    ...{ document, dice, marker: account.marker, now: account.now },
    idFor: (field) => {
      const kind = kindNamed(field, account);
      return kind && account.stock.pick(dice, kind, place)?.[kind];
    },
  };
}

/** `responsibleMemberId` names a member, `taskIds` name tasks. */
function kindNamed(field: string, account: Account): string | undefined {
  const name = field.replace(/Ids$/, "Id").toLowerCase();
  return account.stock.kinds().find((kind) => name.endsWith(kind.toLowerCase()));
}

function fill(draft: Draft, parameter: Parameter, source: Source): void {
  const { dice } = source;
  if (parameter.in === "query") {
    if (parameter.name === "cursor" || !(parameter.required || dice.chance(0.25))) return;
    const value = validValue(resolve(source.document, parameter.schema), source, parameter.name);
    if (value !== undefined && value !== null) draft.query.push([parameter.name, String(value)]);
  }
  if (parameter.in !== "header") return;
  const name = parameter.name.toLowerCase();
  if (name === "if-match") draft.headers[name] = "*";
  if (name === "idempotency-key" && dice.chance(0.5)) {
    draft.headers[name] = `"${source.marker}-${dice.below(1e9)}"`;
  }
  if (name === "if-none-match" && dice.chance(0.3)) draft.headers[name] = `"${dice.below(5)}"`;
}
