import { describe, expect, it } from "vitest";
import { pointer } from "../../src/domain/failure/pointer.ts";
import { expectedVersion, strongMatch, weakMatch } from "../../src/http/entity-tag.ts";
import type { Json } from "../../src/http/json.ts";
import { linkTo } from "../../src/http/link.ts";
import { mergePatch } from "../../src/http/merge-patch.ts";
import { readIdempotencyKey } from "../../src/http/plugins/idempotency.ts";
import { traceOf } from "../../src/http/plugins/request-id.ts";
import { toProblem } from "../../src/http/problems.ts";
import { rateHeaders } from "../../src/http/rate-headers.ts";
import { instantText, parseInstant } from "../../src/http/schemas/time.ts";

describe("RFC 9457, section 3", () => {
  it("has the members of its examples, and pointers written as there", () => {
    const errors = [
      { detail: "must be a positive integer", pointer: pointer("age") },
      { detail: "must be 'green', 'red' or 'blue'", pointer: pointer("profile", "color") },
    ];
    const { status, body } = toProblem({ kind: "invalid", errors }, "https://example.com", "abc");
    expect(status).toBe(422);
    expect(Object.keys(body)).toEqual(["type", "title", "status", "detail", "instance", "errors"]);
    expect(body.errors?.map((fault) => "pointer" in fault && fault.pointer)).toEqual([
      "#/age",
      "#/profile/color",
    ]);
    expect(() => new URL(body.type)).not.toThrow();
  });
});

describe("RFC 6901, sections 5 and 6", () => {
  // The document of section 5; the fragments of section 6.
  it.each([
    [[], "#"],
    [["foo"], "#/foo"],
    [["foo", 0], "#/foo/0"],
    [[""], "#/"],
    [["a/b"], "#/a~1b"],
    [["c%d"], "#/c%25d"],
    [["e^f"], "#/e%5Ef"],
    [["g|h"], "#/g%7Ch"],
    [["i\\j"], "#/i%5Cj"],
    [['k"l'], "#/k%22l"],
    [[" "], "#/%20"],
    [["m~n"], "#/m~0n"],
  ])("writes %j as %s", (steps, fragment) => {
    expect(pointer(...steps)).toBe(fragment);
  });
});

describe("RFC 8288, section 3.5", () => {
  it("writes its first example", () => {
    expect(
      linkTo("http://example.com/TheBook/chapter2", "previous", { title: "previous chapter" }),
    ).toBe('<http://example.com/TheBook/chapter2>; rel="previous"; title="previous chapter"');
  });
});

describe("RFC 7396, appendix A", () => {
  it.each<[Json, Json, Json]>([
    [{ a: "b" }, { a: "c" }, { a: "c" }],
    [{ a: "b" }, { b: "c" }, { a: "b", b: "c" }],
    [{ a: "b" }, { a: null }, {}],
    [{ a: "b", b: "c" }, { a: null }, { b: "c" }],
    [{ a: ["b"] }, { a: "c" }, { a: "c" }],
    [{ a: "c" }, { a: ["b"] }, { a: ["b"] }],
    [{ a: { b: "c" } }, { a: { b: "d", c: null } }, { a: { b: "d" } }],
    [{ a: [{ b: "c" }] }, { a: [1] }, { a: [1] }],
    [
      ["a", "b"],
      ["c", "d"],
      ["c", "d"],
    ],
    [{ a: "b" }, ["c"], ["c"]],
    [{ a: "foo" }, null, null],
    [{ a: "foo" }, "bar", "bar"],
    [{ e: null }, { a: 1 }, { e: null, a: 1 }],
    [[1, 2], { a: "b", c: null }, { a: "b" }],
    [{}, { a: { bb: { ccc: null } } }, { a: { bb: {} } }],
  ])("%j patched with %j is %j", (original, patch, result) => {
    expect(mergePatch(original, patch)).toEqual(result);
  });
});

describe("RFC 9110, section 8.8.3.2, table 3", () => {
  it.each([
    ['W/"1"', 'W/"1"', false, true],
    ['W/"1"', 'W/"2"', false, false],
    ['W/"1"', '"1"', false, true],
    ['"1"', '"1"', true, true],
  ])("%s and %s: strong %s, weak %s", (one, other, strong, weak) => {
    expect(strongMatch(one, other)).toBe(strong);
    expect(weakMatch(one, other)).toBe(weak);
  });

  it("compares If-Match strongly (section 13.1.1)", () => {
    expect(expectedVersion('"1", W/"2", "x,y", "3"')).toEqual([1, 3]);
    expect(expectedVersion("*")).toBe("any");
  });
});

describe("IETF draft, RateLimit header fields for HTTP (source of 2025-09-23)", () => {
  it("writes its examples", () => {
    const quota = { requests: 100, seconds: 60 };
    expect(rateHeaders("default", quota, 50, 30).ratelimit).toBe('"default";r=50;t=30');
    expect(rateHeaders("burst", quota, 1, 1)["ratelimit-policy"]).toBe('"burst";q=100;w=60');
  });
});

describe("IETF draft, Idempotency-Key (2025-02)", () => {
  it("reads its example; a bare key is taken too, which is more than the draft asks for", () => {
    const key = "8e03978e-40d5-43e8-bc93-6894a57f9324";
    expect(readIdempotencyKey(`"${key}"`)).toBe(key);
    expect(readIdempotencyKey(key)).toBe(key);
  });
});

describe("RFC 3339, section 5.8", () => {
  it.each([
    ["1985-04-12T23:20:50.52Z", 482_196_050_520],
    ["1996-12-19T16:39:57-08:00", 851_042_397_000],
    ["1996-12-20T00:39:57Z", 851_042_397_000],
    ["1937-01-01T12:00:27.87+00:20", -1_041_337_172_130],
    // A leap second, taken as the second before it, as Temporal does.
    ["1990-12-31T23:59:60Z", 662_687_999_000],
    ["1990-12-31T15:59:60-08:00", 662_687_999_000],
  ])("%s is %d ms", (text, instant) => {
    expect(parseInstant(text)).toBe(instant);
  });

  it.each([
    "1990-12-31T22:59:60Z",
    "0000-01-01T00:00:00Z",
    "0001-01-01T00:00:00+00:01",
    "9999-12-31T23:59:59-00:01",
    "2026-02-29T00:00:00Z",
    "2026-01-01T24:00:00Z",
    "2026-01-01T00:00:00",
    "2026-01-01 00:00:00Z",
    "2026-01-01T00:00Z",
    "2026-01-01T00:00:00+24:00",
    "2026-01-01T00:00:00,5Z",
    "2026-01-01",
  ])("%s is refused", (text) => {
    expect(parseInstant(text)).toBeNull();
  });

  it("is how instants go out", () => {
    expect(instantText(482_196_050_520)).toBe("1985-04-12T23:20:50.520Z");
  });
});

describe("W3C Trace Context, level 1, section 3.2", () => {
  it("reads its example and nothing that is not sound", () => {
    const trace = "4bf92f3577b34da6a3ce929d0e0e4736";
    expect(traceOf(`00-${trace}-00f067aa0ba902b7-01`)).toEqual({
      traceId: trace,
      parentId: "00f067aa0ba902b7",
    });
    expect(traceOf(`ff-${trace}-00f067aa0ba902b7-01`)).toBeNull();
    expect(traceOf(`00-${"0".repeat(32)}-00f067aa0ba902b7-01`)).toBeNull();
    expect(traceOf(`00-${trace}-00f067aa0ba902b7-01-x`)).toBeNull();
  });
});
