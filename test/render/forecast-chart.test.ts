import { createHash } from "node:crypto";
import { describe, expect, test } from "vitest";
import { CHART_STYLE_HASH, renderForecastChart } from "../../src/render/forecast-chart.ts";
import { chartOf, riders } from "./chart-samples.ts";
import { hostileCopy } from "./hostile.ts";

const drawn = riders.map((view) => [view.machine.name, renderForecastChart(view)] as const);
const heightOf = (svg: string) => Number(/viewBox="0 0 360 (\d+)"/.exec(svg)?.[1]);
const named = (name: string) => drawn.find(([one]) => one.startsWith(name))?.[1] ?? "";

/** The rows of the key: mark, task, figure, dates. */
const rowsOf = (svg: string) =>
  [...svg.matchAll(/<g>(.*?)<\/g>/g)].map(([, row]) =>
    [...(row ?? "").matchAll(/<text[^>]*>([^<]*)</g)].map(([, text]) => text),
  );
/** The numbers at the ends of the lines, from the top down. */
const numbersOf = (svg: string) =>
  [...svg.matchAll(/class="fc-number" x="344"[^>]*>([^<]*)</g)].map(([, text]) => text);
const figureOf = ([, figure]: RegExpMatchArray) => Number(figure);

describe("the forecast chart", () => {
  test.each(drawn)("of %s draws only figures that are some", (_, svg) => {
    expect(svg).not.toMatch(/NaN|Infinity|undefined|null|\[object/);
    expect(svg).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
    expect(svg).not.toMatch(/<script|<foreignObject|href|on\w+=/i);
  });

  test.each(drawn)("of %s stays inside its frame", (_, svg) => {
    for (const [, x, y] of svg.matchAll(
      /<(?:circle|text)[^>]*? c?x="([-\d.]+)" c?y="([-\d.]+)"/g,
    )) {
      expect(Number(x)).toBeGreaterThanOrEqual(0);
      expect(Number(x)).toBeLessThanOrEqual(360);
      expect(Number(y)).toBeGreaterThanOrEqual(0);
      expect(Number(y)).toBeLessThanOrEqual(heightOf(svg));
    }
  });

  test("says in words what it shows", () => {
    const svg = named("Single 150");
    expect(svg).toContain(
      '<title id="fc-title">Single 150 · Harbour co-op: readings and forecast</title>',
    );
    expect(svg).toContain("Last reading 470 km on 8 April 2026.");
    expect(svg).toMatch(/Run-in service at 1,000 km: between 2\d April and 1\d June\./);
    expect(svg).toMatch(
      /On 1\d July 2026 the meter will probably show between [\d,]+ and [\d,]+ km\./,
    );
    expect(svg).toContain('aria-labelledby="fc-title fc-desc"');
  });

  test("draws accepted readings as dots, held ones as rings with the likelier value", () => {
    const svg = named("Slipped digit 300");
    expect(svg.match(/class="fc-dot"/g)?.length).toBe(3);
    // Two in the plot, and each again in the key.
    expect(svg.match(/class="fc-ring"/g)?.length).toBe(4);
    expect(svg.match(/class="fc-likelier"/g)?.length).toBe(2);
    expect(svg).toContain(">Held 52,100 km, 7 April, likelier 5,210 km</text>");
    expect(svg).toContain("Held 52,100 km, 7 April 2026, likelier 5,210 km.");
  });

  test("numbers its due lines at their ends, and tells them in a key below", () => {
    const svg = named("Weekend 250");
    expect(rowsOf(svg).map((row) => row.slice(0, 3))).toEqual([
      ["1", "Engine oil", "6,000 km"],
      ["↑", "Valve clearance", "8,000 km"],
    ]);
    expect(numbersOf(svg)).toEqual(["1"]);
  });

  test("draws one line for tasks that fall due at one figure", () => {
    const svg = named("Commuter 110");
    const rows = rowsOf(svg).filter(([, , figure]) => figure === "15,000 km");
    expect(rows.map(([mark, title]) => [mark, title])).toEqual([
      ["1", "Engine oil"],
      ["1", "Drive chain"],
    ]);
    expect(svg.match(/class="fc-due"/g)).toHaveLength(numbersOf(svg).length);
  });

  test("tells the nearest six lines, and how many more there are", () => {
    const dues = [3000, 3100, 3200, 3300, 3400, 3500, 3600, 900].map(
      (value, index) => [`Task ${index}`, value] as [string, number],
    );
    const readings: Array<[number, number]> = [
      [30, 2000],
      [0, 2900],
    ];
    const svg = renderForecastChart(
      chartOf({ name: "One", readings, perDay: 30, spread: 0.3, dues }),
    );
    expect(rowsOf(svg).map(([, title]) => title ?? "")).toEqual([
      "Task 0",
      "Task 1",
      "Task 2",
      "Task 3",
      "Task 4",
      "Task 5",
      "",
    ]);
    expect(svg).toContain(">and 2 more</text>");
  });

  test("keeps the numbers of lines close together apart", () => {
    const svg = named("Fleet quad");
    const heights = [...svg.matchAll(/class="fc-number" x="344" y="([\d.]+)"/g)].map(figureOf);
    expect(heights.length).toBeGreaterThan(3);
    for (const [index, height] of heights.entries()) {
      const before = heights[index - 1];
      if (before !== undefined) expect(height - before).toBeGreaterThanOrEqual(10.9);
    }
  });

  test("opens the fan at the last reading, however long ago that was", () => {
    const svg = named("Silent 125");
    const [, x, y] = /class="fc-middle" d="M([\d.]+),([\d.]+)/.exec(svg) ?? [];
    const dots = [...svg.matchAll(/class="fc-dot" cx="([\d.]+)" cy="([\d.]+)"/g)];
    expect(dots.at(-1)?.slice(1)).toEqual([x, y]);
    expect(svg).toMatch(new RegExp(`class="fc-outer" d="M${x},${y}`));
  });

  test.each(drawn)("of %s has few ticks, each told once, and says the year", (_, svg) => {
    const ticks = [...svg.matchAll(/class="fc-quiet" x="[\d.]+" y="275" [^>]*>([^<]*)</g)];
    const figures = [...svg.matchAll(/class="fc-quiet" x="41" y="[\d.]+" [^>]*>([\d,]+)</g)];
    if (!svg.includes('class="fc-now"')) return;
    expect(new Set(figures.map(([, text]) => text)).size).toBe(figures.length);
    expect(figures.length).toBeGreaterThan(1);
    expect(figures.length).toBeLessThan(7);
    expect(ticks.length).toBeGreaterThan(1);
    expect(ticks.length).toBeLessThan(7);
    expect(ticks.some(([, text]) => /\d{4}/.test(text ?? ""))).toBe(true);
  });

  test("hatches lay-ups, the open one too", () => {
    expect(named("Winter lay-up 400").match(/class="fc-laid"/g)).toHaveLength(1);
    expect(named("Fleet quad").match(/class="fc-laid"/g)).toHaveLength(1);
  });

  test("says that a machine must not be ridden", () => {
    expect(named("Fleet quad")).toContain("Fleet quad. Do not ride: Front brake leaks");
  });

  test("without a reading it draws no fan and says why", () => {
    const svg = named("No reading yet");
    expect(svg).toContain("No reading yet, so no forecast.");
    expect(svg).not.toContain('class="fc-outer"');
    expect(svg).toContain("Engine oil at 3,000 km: date not known, please post a reading.");
    expect(rowsOf(svg)).toEqual([["", "Engine oil", "3,000 km", "not known"]]);
  });

  test("says its unit once beside the axis", () => {
    for (const unit of ["km", "mi", "h"] as const) {
      const svg = renderForecastChart(
        chartOf({
          name: "One",
          readings: [[9, 100]],
          perDay: 5,
          spread: 0.3,
          dues: [],
          more: { unit },
        }),
      );
      expect(svg.match(new RegExp(`>${unit}</text>`, "g"))).toHaveLength(1);
    }
  });

  test("shows hostile texts and never acts on them", () => {
    const svg = renderForecastChart(hostileCopy(riders.at(-1)!));
    expect(svg).not.toMatch(/<script|<img/i);
    expect(svg).toContain("&lt;script&gt;");
  });

  test("its style is named by a hash, for a policy that allows no other", () => {
    const style = /<style>([\s\S]*?)<\/style>/.exec(named("Single 150"))?.[1] ?? "";
    expect(`sha256-${createHash("sha256").update(style).digest("base64")}`).toBe(CHART_STYLE_HASH);
  });
});
