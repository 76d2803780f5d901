import { z } from "zod";
import { text } from "./common.ts";

const figure = z.number().min(-1_000_000).max(1_000_000);
const leaf = z.number().positive().max(10);

export const point = z
  .strictObject({
    name: text(300).meta({ example: "Inlet, left, cylinder 1" }),
    quantity: z
      .enum([
        "clearance",
        "thickness",
        "depth",
        "voltage",
        "pressure",
        "torque",
        "length",
        "percent",
        "condition",
      ])
      .optional()
      .meta({ description: "What is measured; by the way of measuring, if not told." }),
    unit: text(20).optional(),
    lower: figure.optional(),
    upper: figure.optional(),
    method: z.enum(["value", "feeler", "look"]).optional().meta({
      description: "A clearance by feeler, a condition by look, all else by value, if not told.",
    }),
    cylinder: z.int().min(1).max(64).optional(),
    side: z.enum(["inlet", "exhaust"]).optional(),
    position: text(200).optional(),
    wear: z.enum(["up", "down", "unknown"]).optional(),
    leaves: z.array(leaf).max(60).optional().meta({ description: "Feeler leaves at hand, mm." }),
  })
  .meta({ id: "MeasuringPoint", description: "Where a finding is taken, and its limits." });

export const measurement = z
  .union([
    z.strictObject({ value: figure }),
    z.strictObject({ look: z.enum(["sound", "watch", "replace"]) }),
    z.strictObject({ stated: z.literal(true) }),
    z.strictObject({ goes: figure.optional(), refuses: figure.optional() }),
  ])
  .meta({ id: "Measurement", description: "A value, a feeler pair, a look, or stated only." });

export const verdict = z.enum([
  "inSpec",
  "under",
  "over",
  "tight",
  "loose",
  "undetermined",
  "sound",
  "watch",
  "replace",
  "stated",
]);

export const condition = z
  .strictObject({
    cold: z.boolean().optional(),
    engineTemperature: z.number().min(-60).max(300).optional(),
  })
  .meta({ id: "Condition", description: "Of the engine, when it was measured; °C." });

/** The point with what was not told filled in: a clearance is felt, a condition looked at. */
export function wholePoint<
  T extends { quantity?: string | undefined; method?: string | undefined },
>(given: T): T & { quantity: Quantity; method: Method } {
  const method = (given.method ?? METHOD_OF[given.quantity ?? "length"] ?? "value") as Method;
  return { ...given, method, quantity: (given.quantity ?? QUANTITY_OF[method]) as Quantity };
}

type Quantity = NonNullable<z.output<typeof point>["quantity"]>;
type Method = NonNullable<z.output<typeof point>["method"]>;

const METHOD_OF: Record<string, Method> = { clearance: "feeler", condition: "look" };
const QUANTITY_OF: Record<Method, Quantity> = {
  feeler: "clearance",
  look: "condition",
  value: "length",
};
