import type { ForecastChartView } from "../../src/application/views.ts";
import { dateOfDay, MS_PER_DAY } from "../../src/domain/calendar/plain-date.ts";

const NOW_DAY = 20_555; // 2026-04-12
const NOW = (NOW_DAY + 0.35) * MS_PER_DAY;

interface Rider {
  name: string;
  /** Days before now, and what the meter showed then. */
  readings: ReadonlyArray<[daysAgo: number, value: number]>;
  perDay: number;
  spread: number;
  dues: ReadonlyArray<[title: string, value: number]>;
  more?: Partial<ForecastChartView>;
}

/** A chart of an invented rider: the fan is a plain wedge, which is all that a drawing needs. */
export function chartOf({ name, readings, perDay, spread, dues, more }: Rider): ForecastChartView {
  const last = readings.at(-1)?.[1] ?? 0;
  const silent = readings.at(-1)?.[0] ?? 0;
  const at = (days: number, share: number) => last + perDay * share * (days + silent);
  const crossing = (value: number, share: number) => {
    const days = perDay * share === 0 ? 1e9 : (value - last) / (perDay * share) - silent;
    return days > 3650 ? null : dateOfDay(NOW_DAY + Math.max(-60, days));
  };
  return {
    machine: { name, group: "Harbour co-op" },
    readings: readings.map(([daysAgo, value]) => ({
      at: NOW - daysAgo * MS_PER_DAY,
      value,
      status: "accepted",
    })),
    layUps: [],
    fan:
      readings.length === 0
        ? []
        : Array.from({ length: 37 }, (_, step) => {
            const days = (365 * step) / 36;
            return {
              at: NOW + days * MS_PER_DAY,
              p10: at(days, 1 - spread),
              p25: at(days, 1 - spread / 2),
              p50: at(days, 1),
              p75: at(days, 1 + spread * 0.7),
              p90: at(days, 1 + spread * 1.6),
            };
          }),
    dueLines: dues.map(([title, value]) => ({
      title,
      value,
      from: crossing(value, 1 + spread * 1.6),
      most: crossing(value, 1),
      to: crossing(value, 1 - spread),
    })),
    unit: "km",
    now: NOW,
    locale: "en",
    zone: "Europe/Dublin",
    ...more,
  };
}

const steady = (days: number, every: number, perDay: number): Array<[number, number]> =>
  Array.from({ length: Math.floor(days / every) + 1 }, (_, index) => [
    days - index * every,
    Math.round(1000 + index * every * perDay),
  ]);

/** Ten kinds of rider, as a chart must bear them. */
export const riders: ForecastChartView[] = [
  chartOf({
    name: "Single 150",
    readings: [
      [11, 320],
      [4, 470],
    ],
    perDay: 16,
    spread: 0.5,
    dues: [["Run-in service", 1000]],
  }),
  chartOf({
    name: "Commuter 110",
    readings: steady(700, 14, 18),
    perDay: 18,
    spread: 0.15,
    dues: [
      ["Engine oil", 15000],
      ["Valve clearance", 18000],
      ["Drive chain", 15000],
    ],
  }),
  chartOf({
    name: "Weekend 250",
    readings: [
      [300, 4000],
      [270, 4100],
      [240, 4650],
      [200, 4700],
      [150, 5600],
      [90, 5610],
      [20, 5900],
    ],
    perDay: 7,
    spread: 0.8,
    dues: [
      ["Engine oil", 6000],
      ["Valve clearance", 8000],
    ],
  }),
  chartOf({
    name: "Twin 650 tourer",
    readings: [
      [400, 12000],
      [380, 12100],
      [300, 17000],
      [180, 17050],
      [30, 18000],
    ],
    perDay: 16,
    spread: 0.9,
    dues: [
      ["Valve clearance", 24000],
      ["Engine oil", 20000],
      ["Tyres, rear", 19000],
    ],
  }),
  chartOf({
    name: "Winter lay-up 400",
    readings: [
      [330, 8000],
      [280, 9200],
      [220, 10500],
      [165, 11200],
      [3, 11210],
    ],
    perDay: 14,
    spread: 0.5,
    dues: [["Engine oil", 12000]],
    more: { layUps: [{ from: dateOfDay(NOW_DAY - 165), to: dateOfDay(NOW_DAY - 10) }] },
  }),
  chartOf({
    name: "Silent 125",
    readings: [
      [260, 3000],
      [240, 3400],
    ],
    perDay: 4,
    spread: 0.9,
    dues: [["Valve clearance", 6000]],
  }),
  chartOf({
    name: "Slipped digit 300",
    readings: [
      [60, 4800],
      [40, 5000],
      [10, 5180],
    ],
    perDay: 10,
    spread: 0.4,
    dues: [["Engine oil", 6000]],
    more: {},
  }),
  chartOf({
    name: "Brand-new 50",
    readings: [[0, 2]],
    perDay: 7,
    spread: 0.9,
    dues: [["Run-in service", 500]],
  }),
  chartOf({
    name: "No reading yet",
    readings: [],
    perDay: 0,
    spread: 0,
    dues: [["Engine oil", 3000]],
  }),
  chartOf({
    name: "Fleet quad with a name that is much too long for any drawing",
    readings: steady(90, 3, 60),
    perDay: 60,
    spread: 0.2,
    dues: [
      ["Engine oil and filter, the long description of a workshop", 7000],
      ["Air filter", 7200],
      ["Drive belt", 7300],
      ["Valve clearance", 12000],
      ["Brake pads", 8000],
      ["Wheel bearings", 6900],
    ],
    more: {
      machine: { name: "Fleet quad", doNotRide: ["Front brake leaks"] },
      layUps: [{ from: dateOfDay(NOW_DAY + 30), to: null }],
    },
  }),
];

const slipped = riders[6] as ForecastChartView;
riders[6] = {
  ...slipped,
  readings: [
    ...slipped.readings,
    { at: NOW - 5 * MS_PER_DAY, value: 52_100, status: "held", likelierValue: 5210 },
    { at: NOW - 48 * MS_PER_DAY, value: 4600, status: "held", likelierValue: 4900 },
  ],
};
