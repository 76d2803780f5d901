import { changeLeaf, withMember, withoutMember } from "./change-leaf.ts";
import type { Dice } from "./dice.ts";
import { NOBODYS_ID, type Stock } from "./stock.ts";
import type { Draft } from "./valid-request.ts";

/** What is wrong with the draft afterwards, in a few words; undefined where it cannot be applied. */
type Twist = (draft: Draft, dice: Dice, foreign: Stock | undefined) => string | undefined;

const OTHER_VALUES: readonly unknown[] = [
  ...[null, true, "", " ", "x", "0", -1, 0, 0.5, 1e300, -1e300, 2 ** 53, [], {}, [[]], [null]],
  ...["2026-02-30", "2026-13-01T00:00:00Z", "0000-01-01", "9999-12-31T23:59:59.999999Z"],
  ...["+275760-09-13", "Mars/Phobos", "xx-", "a@b", "javascript:alert(1)", "x".repeat(300)],
  ...["x".repeat(20_000), NOBODYS_ID, "é".repeat(150), "-P1D", "Infinity", "NaN"],
];

const TWISTS: readonly Twist[] = [
  otherValue,
  otherValue,
  otherValue,
  foreignInBody,
  leftOut,
  added,
  foreignPlace,
  foreignPlace,
  missingPlace,
  oddParameter,
  foreignParameter,
  oddMatch,
  oddRepeat,
];

/** Makes one thing wrong; what, is the answer. */
export function spoil(draft: Draft, dice: Dice, foreign: Stock | undefined): string {
  for (let tries = 0; tries < 20; tries += 1) {
    const twist = dice.pick(TWISTS)(draft, dice, foreign);
    if (twist !== undefined) return twist;
  }
  draft.query.push(["unknownParameter", "1"]);
  return "an unknown parameter";
}

function otherValue(draft: Draft, dice: Dice): string | undefined {
  if (draft.body === undefined) return undefined;
  const other = dice.pick(OTHER_VALUES);
  const { value, pointer } = changeLeaf(draft.body, dice, () => other);
  draft.body = value;
  return `${pointer || "the body"} is ${JSON.stringify(other).slice(0, 40)}`;
}

const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** An id of the other account where one of the own might stand. */
function foreignInBody(draft: Draft, dice: Dice, foreign: Stock | undefined): string | undefined {
  const kind = foreign && foreign.kinds().length > 0 ? dice.pick(foreign.kinds()) : undefined;
  const id = kind && foreign?.pick(dice, kind)?.[kind];
  if (id === undefined || typeof draft.body !== "object" || draft.body === null) return undefined;
  const names = [
    "vehicleId",
    "memberId",
    "taskIds",
    "scheduleId",
    "responsibleMemberId",
    "vehicleIds",
  ];
  const known = Object.keys(draft.body).filter(
    (name) => /Ids?$/.test(name) && name !== "externalId",
  );
  const name = dice.pick(known.length > 0 ? known : names);
  const there = (draft.body as Record<string, unknown>)[name];
  const list = Array.isArray(there) || name.endsWith("Ids");
  if (typeof there === "string" && !UUID.test(there)) return undefined;
  draft.body = withMember(draft.body, name, list ? [id] : id);
  return `/${name} is another account's`;
}

function leftOut(draft: Draft, dice: Dice): string | undefined {
  if (typeof draft.body !== "object" || draft.body === null) return undefined;
  const names = Object.keys(draft.body);
  if (names.length === 0) return undefined;
  const name = dice.pick(names);
  draft.body = withoutMember(draft.body, name);
  return `/${name} is left out`;
}

function added(draft: Draft, dice: Dice): string | undefined {
  if (typeof draft.body !== "object" || draft.body === null || Array.isArray(draft.body)) {
    return undefined;
  }
  const name = dice.pick(["id", "accountId", "account_id", "createdAt", "status", "x", "$where"]);
  draft.body = withMember(draft.body, name, dice.pick([1, "x", null, {}]));
  return `/${name} is added`;
}

function foreignPlace(draft: Draft, dice: Dice, foreign: Stock | undefined): string | undefined {
  const names = Object.keys(draft.place).filter((name) =>
    draft.operation.path.includes(`{${name}}`),
  );
  if (names.length === 0 || foreign === undefined) return undefined;
  const name = dice.pick(names);
  const other = foreign.pick(dice, name);
  // A calendar's address is its own key: whoever has it may read.
  if (other?.[name] === undefined || name === "token" || name === "slug") return undefined;
  draft.place = dice.chance(0.5)
    ? { ...draft.place, ...other }
    : { ...draft.place, [name]: other[name] };
  return `${name} of the path is another account's`;
}

function missingPlace(draft: Draft, dice: Dice): string | undefined {
  const names = Object.keys(draft.place).filter((name) =>
    draft.operation.path.includes(`{${name}}`),
  );
  if (names.length === 0) return undefined;
  const name = dice.pick(names);
  draft.place[name] = dice.pick([NOBODYS_ID, "x", "0", `${draft.place[name]}0`]);
  return `${name} of the path is nobody's`;
}

function oddParameter(draft: Draft, dice: Dice): string | undefined {
  const names = (draft.operation.parameters ?? []).filter((one) => one.in === "query");
  const name = names.length > 0 && dice.chance(0.8) ? dice.pick(names).name : "unknownParameter";
  const value = dice.pick(["", "0", "-1", "201", "1e3", "x", "null", "2026-02-30", "%", "true"]);
  if (dice.chance(0.2)) draft.query.push([name, value]);
  draft.query.push([name, value]);
  return `the parameter ${name} is "${value}"`;
}

function foreignParameter(
  draft: Draft,
  dice: Dice,
  foreign: Stock | undefined,
): string | undefined {
  const names = (draft.operation.parameters ?? []).filter(
    (one) => one.in === "query" && one.name.endsWith("Id") && one.name !== "externalId",
  );
  if (names.length === 0 || foreign === undefined) return undefined;
  const { name } = dice.pick(names);
  const id = foreign.pick(dice, name)?.[name];
  if (id === undefined) return undefined;
  draft.query = [[name, id]];
  return `the parameter ${name} is another account's`;
}

function oddMatch(draft: Draft, dice: Dice): string | undefined {
  if (draft.headers["if-match"] === undefined) return undefined;
  const odd = dice.pick(["", '"999999"', 'W/"1"', "1", '"1", "2"', '"', "*, *", "\u00ff"]);
  if (odd === "") delete draft.headers["if-match"];
  else draft.headers["if-match"] = odd;
  return odd === "" ? "no If-Match" : `If-Match is ${odd}`;
}

function oddRepeat(draft: Draft, dice: Dice): string | undefined {
  const takes = draft.operation.parameters?.some(({ name }) => name === "Idempotency-Key");
  if (!takes) return undefined;
  const odd = dice.pick(["", '""', "a b", "x".repeat(256), '"', "\u00e9", "again"]);
  draft.headers["idempotency-key"] = odd;
  return `Idempotency-Key is ${odd.slice(0, 20)}`;
}
