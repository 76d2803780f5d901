import { createHash } from "node:crypto";
import { describe, expect, test } from "vitest";
import { CHART_STYLE_HASH, renderForecastChart } from "../../src/render/forecast-chart.ts";
import { chartOf, riders } from "./chart-samples.ts";
import { hostileCopy } from "./hostile.ts";

const drawn = riders.map((view) => [view.machine.name, renderForecastChart(view)] as const);
const named = (name: string) => drawn.find(([one]) => one.startsWith(name))?.[1] ?? "";

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
      expect(Number(y)).toBeLessThanOrEqual(288);
    }
  });

  test("says in words what it shows", () => {
    const svg = named("Single 150");
    expect(svg).toContain(
      '<title id="fc-title">Single 150 · Harbour co-op: readings and forecast</title>',
    );
    expect(svg).toContain("Last reading 470 km on 8 April 2026.");
    expect(svg).toMatch(/Run-in service at 1,000 km: between 2\d April and 1\d June\./);
    expect(svg).toContain('aria-labelledby="fc-title fc-desc"');
  });

  test("draws accepted readings as dots, held ones as rings with the likelier value", () => {
    const svg = named("Slipped digit 300");
    expect(svg.match(/class="fc-dot"/g)?.length).toBe(3);
    expect(svg.match(/class="fc-ring"/g)?.length).toBe(2);
    expect(svg).toContain("held 52,100 km, likelier 5,210 km");
    expect(svg).toContain("held 52,100 km, 7 April 2026.");
  });

  test("joins tasks that fall due at one figure in one line", () => {
    expect(named("Commuter 110")).toContain("Engine oil and 1 more, 15,000 km, ");
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
