import { z } from "zod";
import { breathing } from "../../application/breathe.ts";
import {
  type ForecastCase,
  type ForecastResult,
  forecastCase,
} from "../../application/forecast-cases.ts";
import { holdSentence } from "../../domain/meter/hold-sentence.ts";
import { EXAMPLE } from "../examples.ts";
import { present, shownDistance, shownInstant } from "../present/shown.ts";
import { routeBeside } from "../route.ts";
import { distanceUnit, text } from "../schemas/common.ts";
import { holdReason } from "../schemas/reading.ts";
import { instant, plainDate } from "../schemas/time.ts";
import { vehicleKind } from "../schemas/vehicle.ts";

const BODY_LIMIT = 8 * 1024 * 1024;
const MOST_CASES = 1000;

const distance = z.number().min(0).max(10_000_000);
const probability = z.number().gt(0).lt(1);

const forecastCaseBody = z.strictObject({
  id: text(200).optional(),
  kind: vehicleKind.default("other"),
  unit: distanceUnit.default("km"),
  declaredPerYear: z.number().min(0).max(500_000).nullable().default(null),
  hemisphere: z.enum(["north", "south"]).default("north"),
  asOf: instant
    .optional()
    .meta({ description: "Overrides the request's; readings after it are left out." }),
  readings: z
    .array(z.strictObject({ at: instant, value: distance }))
    .max(2000)
    .default([]),
  layUps: z
    .array(z.strictObject({ from: plainDate, to: plainDate.nullable().default(null) }))
    .max(200)
    .default([]),
  targets: z.array(distance).max(100).default([]),
  quantiles: z.array(probability).min(1).max(50).default([0.1, 0.5, 0.9]),
  withinDays: z.array(z.number().min(0).max(18_262)).max(50).default([21]),
});

const forecastBody = z
  .strictObject({
    asOf: instant.optional().meta({ description: "When it is asked for; now, if not told." }),
    cases: z.array(forecastCaseBody).min(1).max(MOST_CASES),
  })
  .meta({ id: "ForecastBody" });

const spread = z
  .strictObject({
    mean: z.number(),
    quantiles: z.array(z.strictObject({ p: z.number(), value: z.number() })),
  })
  .nullable();

const forecasts = z
  .strictObject({
    results: z.array(
      z.strictObject({
        id: z.string().nullable(),
        now: spread.meta({ description: "What the meter shows; null without a reading." }),
        perDay: spread,
        targets: z.array(
          z.strictObject({
            value: z.number(),
            quantiles: z.array(
              z.strictObject({
                p: z.number(),
                at: instant.nullable().meta({ description: "null: further away than 50 years." }),
              }),
            ),
            within: z.array(z.strictObject({ days: z.number(), probability: z.number() })),
          }),
        ),
        held: z.array(
          z.strictObject({ at: instant, value: z.number(), reasons: z.array(holdReason) }),
        ),
      }),
    ),
  })
  .meta({ id: "Forecasts" });

const post = routeBeside({
  operationId: "forecast",
  method: "POST",
  path: "/v1/forecasts",
  tag: "Forecast",
  summary: "Forecast with everything in the request",
  description:
    "The same computation as for stored machines, with nothing stored: up to 1,000 cases. A target that is already passed answers with the instant at which it most likely was. Plain dates are in UTC.",
  access: { scope: "read" },
  bodyLimit: BODY_LIMIT,
  body: forecastBody,
  beside: { list: "cases", item: forecastCaseBody, most: MOST_CASES },
  examples: {
    body: {
      asOf: EXAMPLE.at,
      cases: [
        {
          id: "a",
          kind: "motorcycle",
          unit: "km",
          declaredPerYear: 6000,
          readings: [{ at: "2026-04-03T10:00:00Z", value: 5210 }],
          targets: [6000],
        },
      ],
    },
  },
  answers: {
    200: {
      description: "A result for each case, in their order.",
      schema: forecasts,
      example: {
        results: [
          {
            id: "a",
            now: { mean: 5390.2, quantiles: [{ p: 0.5, value: 5361 }] },
            perDay: { mean: 16.1, quantiles: [{ p: 0.5, value: 15 }] },
            targets: [
              {
                value: 6000,
                quantiles: [{ p: 0.5, at: EXAMPLE.later }],
                within: [{ days: 21, probability: 0.11 }],
              },
            ],
            held: [],
          },
        ],
      },
    },
  },
  async handle({ body, now }) {
    return { status: 200, parts: writtenResults(body.cases, body.asOf ?? now()) };
  },
});

type CaseBody = z.output<typeof forecastCaseBody>;

/** The answer's JSON, a part for each case: all of it at once can come to hundreds of megabytes. */
async function* writtenResults(cases: readonly CaseBody[], asOf: number): AsyncGenerator<string> {
  const breathe = breathing();
  let before = '{"results":[';
  for (const one of cases) {
    await breathe();
    const input: ForecastCase = { ...one, id: one.id ?? null, asOf: one.asOf ?? asOf };
    const result = shownResult(await forecastCase(input, breathe), one.unit);
    yield before + JSON.stringify(result);
    before = ",";
  }
  yield "]}";
}

function shownResult({ id, now, perDay, targets, held }: ForecastResult, unit: string) {
  return {
    id,
    now: shownSpread(now),
    perDay: perDay && {
      mean: round(perDay.mean, 3),
      quantiles: perDay.quantiles.map(({ p, value }) => ({ p, value: round(value, 3) })),
    },
    targets: targets.map(({ value, quantiles, within }) => ({
      value,
      quantiles: quantiles.map(({ p, at }) => ({ p, at: at === null ? null : shownInstant(at) })),
      within: within.map(({ days, probability: chance }) => ({ days, probability: chance })),
    })),
    held: held.map(({ at, value, reasons }) => ({
      at: shownInstant(at),
      value,
      reasons: reasons.map((reason) =>
        present({
          code: reason.code,
          detail: holdSentence(reason, unit),
          likelierValue: reason.likelierValue,
        }),
      ),
    })),
  };
}

function shownSpread(shown: ForecastResult["now"]) {
  return (
    shown && {
      mean: shownDistance(shown.mean),
      quantiles: shown.quantiles.map(({ p, value }) => ({ p, value: shownDistance(value) })),
    }
  );
}

function round(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}

export const forecastRoutes = [post];
