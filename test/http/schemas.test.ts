import { test as property } from "@fast-check/vitest";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { z } from "zod";
import { faultsOf } from "../../src/http/field-faults.ts";
import {
  email,
  externalId,
  id,
  limits,
  locale,
  money,
  pageQuery,
} from "../../src/http/schemas/common.ts";
import {
  instant,
  instantText,
  parseInstant,
  plainDate,
  timeZone,
} from "../../src/http/schemas/time.ts";
import { unsoundParts } from "../../src/http/soundness.ts";

const detailsOf = (schema: z.ZodType, value: unknown) => {
  const result = schema.safeParse(value);
  return result.success ? [] : faultsOf(result.error, schema, value).map(({ detail }) => detail);
};

describe("the common schemas", () => {
  it.each<[string, z.ZodType, unknown]>([
    ["an id in capitals", id, "01993B1F-6F2F-7A51-B0F4-3F3D5C1D2A10"],
    ["a leap day", plainDate, "2028-02-29"],
    ["a zone", timeZone, "Europe/Kyiv"],
    ["a language", locale, "en-gb"],
    ["an address", email, "rider@example.org"],
    ["money", money, { amount: "12.50", currency: "EUR" }],
    ["a printed pair", limits, { distance: { km: 1000, mi: 600 } }],
    ["one distance", limits, { distance: 6000, months: 12 }],
    ["an id of the caller's own", externalId, "tour 17/a"],
  ])("take %s", (_what, schema, value) => {
    expect(detailsOf(schema, value)).toEqual([]);
  });

  it.each<[string, z.ZodType, unknown, RegExp]>([
    ["an id", id, "17", /UUID/],
    ["a date that is none", plainDate, "2027-02-29", /such as 2026-05-01/],
    ["year 0000", plainDate, "0000-01-01", /0001 to 9999/],
    ["an offset for a zone", timeZone, "+02:00", /IANA/],
    ["a language", locale, "english!", /BCP 47/],
    ["an address with a line break", email, "a@example.org\r\nBcc: b@example.org", /email/],
    ["a binary amount", money, { amount: 12.5, currency: "EUR" }, /must be a text/],
    ["a made-up currency", money, { amount: "1", currency: "XQQ" }, /ISO 4217/],
    ["no limit at all", limits, {}, /at least one of/],
    ["an empty pair", limits, { distance: {} }, /km, mi or both/],
    ["a distance in words", limits, { distance: "far" }, /a number, or an object/],
    ["half a month", limits, { months: 0.5 }, /a whole number/],
    ["a limit of nothing", limits, { hours: 0 }, /more than 0/],
    ["blanks around an id", externalId, " a", /without spaces at its ends/],
    ["a limit in words", pageQuery, { limit: "many" }, /whole number from 1 to 200/],
  ])("refuse %s and say what would be right", (_what, schema, value, words) => {
    const details = detailsOf(schema, value);
    expect(details).toHaveLength(1);
    expect(details[0]).toMatch(words);
  });
});

const JSON_VALUES = fc.jsonValue({ noUnicodeString: false, maxDepth: 6 });

describe("any value", () => {
  property.prop([JSON_VALUES])("that JSON can hold is looked through without an error", (value) => {
    expect(Array.isArray(unsoundParts(value))).toBe(true);
  });

  property.prop([JSON_VALUES])(
    "is taken or refused with sentences, never with an error",
    (value) => {
      for (const detail of detailsOf(limits, value)) expect(detail).toMatch(/^(must|is) /);
    },
  );

  it("an instant whose plus sign was lost on the way is told how to write it", () => {
    expect(detailsOf(instant, "2026-05-01T08:00:00 02:00")).toEqual([
      "must be an instant with its offset; in an address + is written %2B",
    ]);
    expect(detailsOf(instant, "2026-05-01 08:00")[0]).toMatch(/such as 2026-05-01T08:00:00Z/);
    expect(detailsOf(instant, undefined)[0]).toMatch(/^is required; must be an instant/);
  });

  property.prop([fc.integer({ min: -62_135_596_800_000, max: 253_402_300_799_999 })])(
    "an instant is read as it was written",
    (instant) => {
      expect(parseInstant(instantText(instant))).toBe(instant);
    },
  );
});
