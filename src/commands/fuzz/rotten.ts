import { changeLeaf, withMember } from "./change-leaf.ts";
import type { Dice } from "./dice.ts";
import type { FuzzRequest } from "./fuzz-request.ts";
import type { Draft } from "./valid-request.ts";
import { RawText, textOf, writeRequest } from "./write-request.ts";

/** JSON texts that no field should take, and some that a text may well hold. */
const RAW_VALUES: readonly string[] = [
  ...['"a\\u0000b"', '"\\ud800"', '"\\udfff\\ud800"', "1e400", "-1e400", "9".repeat(400), "1e-400"],
  ...['{"__proto__":{"admin":true}}', '{"constructor":{"prototype":{"x":1}}}', "-0", "00", "1."],
  ...['"\' or 1=1; drop table vehicle; --"', '"<script>alert(1)</script>"', '"{{7*7}}<%= 7*7 %>"'],
  ...["\"=cmd|' /C calc'!A0\"", '"../../../../etc/passwd"', '"\\u202e\\u0007\\u001b[31m"', "'x'"],
  ...['"\\r\\nSet-Cookie: a=b"', "NaN", "undefined", '"\\uffff\\ufffe"', '"%00%0d%0a"'],
  ...[`${"[".repeat(5000)}${"]".repeat(5000)}`, `"${"x".repeat(70_000)}"`, '{"":1}', "[[],[[]]]"],
  ...[`${'{"a":'.repeat(3000)}1${"}".repeat(3000)}`, '{"a":1,"a":2}', `[${"0,".repeat(20_000)}0]`],
];
const TEXTS: readonly string[] = [
  ...["%00", "%ff%fe", "%ed%a0%80", "..%2f..%2f", "%", "%zz", "' or '1'='1", "<b>", "__proto__"],
  ...["x".repeat(600), "x".repeat(9000), "é", "1;drop", "%0d%0aX: y", "constructor", "[$ne]", "\\"],
];
const WHOLE_BODIES: readonly (string | Buffer)[] = [
  ...["", "{", "[]", '"x"', "null", "1", "<a/>", "a=b", '{"name": ', "\u0000", "{}{}", "\ufeff{}"],
  ...[Buffer.from([0x7b, 0x22, 0xff, 0xfe, 0x22, 0x3a, 0x31, 0x7d]), Buffer.from("{}", "utf16le")],
  ...[`{"name": "${"x".repeat(1_100_000)}"}`, " ".repeat(100_000), `{"${"k".repeat(50_000)}":1}`],
];
const MEDIA_TYPES = [
  ...[
    "text/plain",
    "application/xml",
    "application/json; charset=utf-16",
    "application/x-www-form-urlencoded",
  ],
  ...[
    "multipart/form-data; boundary=x",
    "application/json;",
    "*/*",
    "json",
    "application/problem+json",
    "\u00ff",
  ],
];
const HEADERS: readonly (readonly [string, string])[] = [
  ...[["if-match", '"\u00ff"'] as const, ["if-match", `"${"1".repeat(3000)}"`] as const],
  ...[
    ["if-match", '*,"'] as const,
    ["if-none-match", '"1'] as const,
    ["if-none-match", "*"] as const,
  ],
  ...[["idempotency-key", '"\u00e9"'] as const, ["idempotency-key", "x".repeat(5000)] as const],
  ...[
    ["accept", "text/nothing"] as const,
    ["accept", "\u00ff;q=x,,"] as const,
    ["accept", "*/*;q=0"] as const,
  ],
  ...[["content-encoding", "gzip"] as const, ["authorization", "Basic eDp5"] as const],
  ...[
    ["authorization", "Bearer "] as const,
    ["authorization", `Bearer ${"x".repeat(4000)}`] as const,
  ],
  ...[["authorization", "Bearer \u00e9"] as const, ["traceparent", "00-zz-zz-zz"] as const],
  ...[["x-request-id", "a\tb\u00ff"] as const, ["x-request-id", "x".repeat(3000)] as const],
  ...[
    ["origin", "null"] as const,
    ["range", "bytes=0-99999999999"] as const,
    ["cookie", "a=b;;="] as const,
  ],
  ...[["x-forwarded-for", "' or 1=1"] as const, ["x-http-method-override", "DELETE"] as const],
  ...[["transfer-encoding", "chunked"] as const, ["expect", "200-maybe"] as const],
];
const METHODS = ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "PROPFIND", "TRACE"];

type Kind = (draft: Draft, dice: Dice) => FuzzRequest;

const KINDS: readonly Kind[] = [
  rawValue,
  rawValue,
  rawValue,
  memberName,
  wholeBody,
  mediaType,
  oddHeader,
  oddPath,
  oddQuery,
  otherMethod,
];

/** A request that nobody means well with. */
export function rot(draft: Draft, dice: Dice): FuzzRequest {
  const kind = dice.pick(KINDS);
  return kind(draft, dice);
}

function rawValue(draft: Draft, dice: Dice): FuzzRequest {
  const raw = dice.pick(RAW_VALUES);
  const { value, pointer } = changeLeaf(draft.body ?? {}, dice, () => new RawText(raw));
  draft.body = value;
  draft.headers["content-type"] ??= "application/json";
  return writeRequest(draft, "rotten", `${pointer || "the body"} is ${raw.slice(0, 40)}`);
}

function memberName(draft: Draft, dice: Dice): FuzzRequest {
  const name = dice.pick([
    "__proto__",
    "constructor",
    "toString",
    "\u0000",
    "\ud800",
    "hasOwnProperty",
  ]);
  if (typeof draft.body !== "object" || draft.body === null) return oddQuery(draft, dice);
  const { value, pointer } = changeLeaf(draft.body, dice, (leaf) =>
    withMember(typeof leaf === "object" && leaf !== null ? leaf : {}, name, { admin: true }),
  );
  draft.body = value;
  return writeRequest(draft, "rotten", `${pointer}/${JSON.stringify(name)} is added`);
}

function wholeBody(draft: Draft, dice: Dice): FuzzRequest {
  const body = Buffer.from(dice.pick(WHOLE_BODIES) as string);
  draft.headers["content-type"] ??= "application/json";
  const written = writeRequest(draft, "rotten", `the body is ${body.toString("latin1", 0, 20)}`);
  return { ...written, body };
}

function mediaType(draft: Draft, dice: Dice): FuzzRequest {
  const type = dice.pick(MEDIA_TYPES);
  draft.headers["content-type"] = type;
  draft.body ??= new RawText("a=b");
  return writeRequest(draft, "rotten", `the media type is ${type}`);
}

function oddHeader(draft: Draft, dice: Dice): FuzzRequest {
  const [name, value] = dice.pick(HEADERS);
  draft.headers[name] = value;
  return writeRequest(draft, "rotten", `${name} is ${value.slice(0, 30)}`);
}

function oddPath(draft: Draft, dice: Dice): FuzzRequest {
  const text = dice.pick(TEXTS);
  const written = writeRequest(draft, "rotten", `the path has ${text.slice(0, 20)}`);
  const [path = "", query] = written.url.split("?", 2);
  const steps = path.split("/");
  steps[dice.between(1, steps.length - 1)] = asPathText(text);
  return { ...written, url: query === undefined ? steps.join("/") : `${steps.join("/")}?${query}` };
}

function oddQuery(draft: Draft, dice: Dice): FuzzRequest {
  const names = (draft.operation.parameters ?? []).filter((one) => one.in === "query");
  const name = names.length > 0 ? dice.pick(names).name : "q";
  const text = dice.pick(TEXTS);
  const written = writeRequest(draft, "rotten", `the parameter ${name} is ${text.slice(0, 20)}`);
  const more = dice.chance(0.3) ? `&${name}=1` : "";
  const link = written.url.includes("?") ? "&" : "?";
  return { ...written, url: `${written.url}${link}${name}=${asPathText(text)}${more}` };
}

function otherMethod(draft: Draft, dice: Dice): FuzzRequest {
  const method = dice.pick(METHODS);
  // What is as sound as the document's own is none of this.
  if (method === draft.operation.method) draft.headers.accept = "*/*;q=0";
  const body = textOf(draft.body ?? {});
  const written = writeRequest(draft, "rotten", `the method is ${method}`);
  return { ...written, method, body: dice.chance(0.5) ? Buffer.from(body) : null };
}

/** Blanks and what is not of one byte cannot be sent as they are. */
function asPathText(text: string): string {
  return text.replaceAll(/[^\u0021-\u00ff]/g, (one) => encodeURIComponent(one));
}
