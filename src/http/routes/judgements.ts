import { z } from "zod";
import { breathing } from "../../application/breathe.ts";
import { judged } from "../../application/work-done/judge-findings.ts";
import { type FieldFault, Refusal } from "../../domain/failure/failure.ts";
import { measurementFault, pointFault } from "../../domain/finding/measurement-fault.ts";
import type { Measurement, MeasuringPoint } from "../../domain/finding/point.ts";
import { text } from "../schemas/common.ts";
import { measurement, point, verdict, wholePoint } from "../schemas/finding.ts";
import { defineRoute } from "../services.ts";

const judgementBody = z
  .strictObject({
    cases: z
      .array(
        z.strictObject({
          id: text(200).optional(),
          point,
          asFound: measurement,
          leaves: z.array(z.number().positive().max(10)).max(60).optional().meta({
            description: "Feeler leaves at hand, mm, in place of the point's own.",
          }),
        }),
      )
      .min(1)
      .max(1000),
  })
  .meta({ id: "JudgementBody" });

const judgements = z
  .strictObject({
    results: z.array(
      z.strictObject({
        id: z.string().nullable(),
        verdict,
        tryLeaf: z.number().nullable(),
        why: z.string(),
      }),
    ),
  })
  .meta({ id: "Judgements" });

type Case = z.output<typeof judgementBody>["cases"][number];

/** The point as its measurement implies it, where its way of measuring was not told. */
function pointOf({ point: given, asFound }: Case): MeasuringPoint {
  const paired = "goes" in asFound || "refuses" in asFound;
  const implied = "look" in asFound ? "look" : paired ? "feeler" : "value";
  const told = given.method !== undefined || "stated" in asFound;
  return wholePoint(told ? given : { ...given, method: implied }) as MeasuringPoint;
}

const post = defineRoute({
  operationId: "judge",
  method: "POST",
  path: "/v1/judgements",
  tag: "Work record",
  summary: "Judge measurements against limits",
  description:
    "The judgement that findings get, with everything in the request and nothing stored. For a feeler pair whose verdict is undetermined, `tryLeaf` names the leaf that settles it.",
  access: { scope: "read" },
  body: judgementBody,
  examples: {
    body: {
      cases: [
        {
          id: "inlet",
          point: {
            name: "Inlet",
            quantity: "clearance",
            unit: "mm",
            lower: 0.08,
            upper: 0.13,
            method: "feeler",
          },
          asFound: { goes: 0.1, refuses: 0.15 },
          leaves: [0.08, 0.1, 0.13, 0.15],
        },
      ],
    },
  },
  answers: {
    200: {
      description: "A result for each case, in their order.",
      schema: judgements,
      example: {
        results: [
          { id: "inlet", verdict: "undetermined", tryLeaf: 0.13, why: "Try the leaf of 0.13 mm." },
        ],
      },
    },
  },
  async handle({ body }) {
    const points = body.cases.map(pointOf);
    const errors = body.cases.flatMap((one, index) => faultsOf(one, points[index], index));
    if (errors.length > 0) throw new Refusal({ kind: "invalid", errors });
    const results = [];
    const breathe = breathing();
    for (const [index, { id, asFound, leaves }] of body.cases.entries()) {
      await breathe();
      const {
        verdict: found,
        tryLeaf,
        why,
      } = judged(points[index] as MeasuringPoint, asFound as Measurement, leaves);
      results.push({ id: id ?? null, verdict: found, tryLeaf: tryLeaf ?? null, why });
    }
    return { status: 200, body: { results } };
  },
});

function faultsOf(
  { asFound }: Case,
  measured: MeasuringPoint | undefined,
  index: number,
): FieldFault[] {
  if (!measured) return [];
  const ofPoint = pointFault(measured);
  if (ofPoint) {
    return [{ pointer: `#/cases/${index}/point${ofPoint.pointer}`, detail: ofPoint.detail }];
  }
  const found = measurementFault(measured, asFound as Measurement);
  return found
    ? [{ pointer: `#/cases/${index}/asFound${found.pointer}`, detail: found.detail }]
    : [];
}

export const judgementRoutes = [post];
