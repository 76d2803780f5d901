import { describe, expect, test } from "vitest";
import { serviceHistoryCsv } from "../../src/render/csv.ts";
import { renderServiceHistory } from "../../src/render/service-history.ts";
import { HOSTILE, hostileCopy } from "./hostile.ts";
import { history } from "./samples.ts";

describe("the printed service history", () => {
  const html = renderServiceHistory(history);

  test.each([
    "20 May 2026: Valve clearance, Engine oil",
    "1,012 km",
    "Maren Holt (owner’s own work)",
    "Within the permitted window",
    "0.08 to 0.13 mm",
    "0.10 goes, 0.13 refuses",
    "tight → in spec",
    "Oil filter, × 1",
    "12.50 EUR",
    "Cold engine only.",
  ])("says %s", (what) => {
    expect(html).toContain(what);
  });

  test("shows what was amended and voided, with the reasons and what stood before", () => {
    expect(html).toContain("Amended on 21 May 2026. Reason: The oil filter was forgotten.");
    expect(html).toContain("Before: 19 May 2026; 1,010.4 km; Oil changed.");
    expect(html).toContain("<del>28 May 2026: Drive chain</del>");
    expect(html).toContain("Void. Reason: Logged for the wrong machine.");
  });

  test("heads every sheet with the machine and numbers the pages", () => {
    expect(html).toMatch(/<thead><tr><td><div class="stub"><span>Single 150 · Harbour co-op 04/);
    expect(html).toContain("counter(page)");
  });

  test("an empty one says so", () => {
    expect(renderServiceHistory({ ...history, records: [] })).toContain("No work is recorded.");
  });
});

describe("the service history as CSV", () => {
  const rows = serviceHistoryCsv(history).split("\r\n");

  test("has a header, one line a finding and one for a record without any, each ended by CRLF", () => {
    expect(rows[0]).toMatch(/^doneOn,reading,unit,tasks,window,status,reason,by,trade,point,/);
    expect(rows).toHaveLength(5);
    expect(rows.at(-1)).toBe("");
    expect(rows[1]).toContain("2026-05-20,1012,km,Valve clearance; Engine oil,within,amended,");
    expect(rows[1]).toContain('"Inlet, left",mm,0.08,0.13,,0.1,0.13,inSpec');
    expect(rows[2]).toContain("tight,,0.15,0.18,inSpec,,Set again after tightening.");
    expect(rows[3]).toContain(
      "2026-05-28,,,Drive chain,,void,Logged for the wrong machine.,Quay workshop,workshop",
    );
  });

  test("RFC 4180, section 2: quotes are doubled, and a line break stays inside its field", () => {
    const [record] = history.records;
    const csv = serviceHistoryCsv({
      ...history,
      records: [{ ...record!, findings: [], notes: 'b"bb', titles: ["b\r\nbb"] }],
    });
    expect(csv).toContain('"b""bb"');
    expect(csv).toContain('"b\r\nbb"');
  });

  test.each(["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx"])(
    "a text that begins like a formula is disarmed: %j",
    (text) => {
      const [record] = history.records;
      const csv = serviceHistoryCsv({
        ...history,
        records: [{ ...record!, findings: [], notes: text }],
      });
      expect(csv).toContain(`'${text}`);
    },
  );

  test("a number below zero is a number, not a formula", () => {
    const [record] = history.records;
    const point = { name: "Offset", unit: "mm", method: "value", lower: -0.5, upper: 0.5 } as const;
    const finding = { point, asFound: { value: -0.2 }, verdict: "inSpec" } as const;
    expect(
      serviceHistoryCsv({ ...history, records: [{ ...record!, findings: [finding] }] }),
    ).toContain("Offset,mm,-0.5,0.5,-0.2,");
  });

  test("hostile texts are stored literally", () => {
    const csv = serviceHistoryCsv(hostileCopy(history));
    expect(csv).toContain(HOSTILE.replaceAll('"', '""'));
  });
});
