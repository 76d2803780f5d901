import type { TaskInput } from "../../application/tasks.ts";
import type { MeasuringPoint } from "../../domain/finding/point.ts";

/**
 * Example tasks with example figures: common practice, no maker's. The rider's own handbook prevails.
 */
export interface DemoTask extends Omit<TaskInput, "points" | "statedWork"> {
  points: MeasuringPoint[];
  statedWork?: TaskInput["statedWork"];
}

const COLD =
  "Cold engine only. Fuel tap off, ignition key out, machine steady on its stand. Turn the engine by hand only.";
const HANDBOOK = "Example figures: your own handbook prevails.";
const BRAKES =
  "Brakes: a licensed technician, for anyone not trained in it. Pump the lever and test the brakes before riding.";

const bare = {
  lead: null,
  minutes: null,
  access: [],
  steps: [],
  tools: [],
  parts: [],
  fluids: [],
  cautions: [HANDBOOK],
  closingChecks: [],
  points: [],
} satisfies Partial<DemoTask>;

const plan = {
  kind: "recurring",
  whichever: "first",
  repeatFrom: "completion",
  countsFrom: "work",
  paused: false,
} as const;

function clearance(
  name: string,
  side: "inlet" | "exhaust",
  lower: number,
  upper: number,
): MeasuringPoint {
  const leaves = [0.08, 0.1, 0.13, 0.15, 0.18, 0.2];
  return {
    name,
    quantity: "clearance",
    unit: "mm",
    lower,
    upper,
    method: "feeler",
    side,
    wear: "down",
    leaves,
  };
}

export const VALVES: DemoTask = {
  ...bare,
  title: "Valve clearance",
  plan: {
    ...plan,
    first: { distance: { km: 1000, mi: 600 } },
    every: { distance: { km: 6000, mi: 4000 }, months: 24 },
  },
  minutes: 60,
  access: ["Seat", "Tank", "Valve covers"],
  steps: [
    "Set the piston to top dead centre of the compression stroke: both rockers have play.",
    "Measure inlet and exhaust with the leaves; one that must be forced did not go in.",
    "Adjust, tighten the locknut, and measure again.",
  ],
  tools: ["Feeler leaves 0.08 to 0.20 mm", "Ring spanner for the locknuts"],
  parts: [{ name: "Valve cover gasket", quantity: "1, if the old one is hard" }],
  cautions: [COLD, HANDBOOK],
  closingChecks: ["Fuel hose clipped", "Spark plug torqued", "Nothing left over"],
  points: [clearance("Inlet", "inlet", 0.08, 0.13), clearance("Exhaust", "exhaust", 0.13, 0.18)],
};

export const OIL: DemoTask = {
  ...bare,
  title: "Engine oil and filter",
  plan: {
    ...plan,
    first: { distance: { km: 1000, mi: 600 } },
    every: { distance: { km: 4000, mi: 2500 }, months: 12 },
  },
  minutes: 30,
  tools: ["Socket for the drain plug", "Torque wrench", "Tray"],
  parts: [
    { name: "Oil filter", quantity: "1" },
    { name: "Sealing washer", quantity: "1" },
  ],
  fluids: [{ name: "Engine oil", grade: "as the handbook says", quantity: "about 1 to 3 litres" }],
  cautions: ["Hot oil and a hot exhaust burn: let the engine cool to hand-warm.", HANDBOOK],
  closingChecks: ["Drain plug torqued", "Level checked after two minutes of running", "No leak"],
};

export const CHAIN: DemoTask = {
  ...bare,
  title: "Chain: clean, measure, set the slack",
  plan: { ...plan, every: { distance: { km: 1000, mi: 600 } } },
  minutes: 20,
  tools: ["Caliper", "Chain brush"],
  cautions: ["Engine off, key out: a chain that runs takes fingers.", HANDBOOK],
  points: [
    {
      name: "Slack, tightest place",
      quantity: "length",
      unit: "mm",
      lower: 20,
      upper: 30,
      method: "value",
      wear: "up",
    },
  ],
};

export const BRAKE_FLUID: DemoTask = {
  ...bare,
  title: "Brake fluid",
  plan: { ...plan, every: { months: 24 } },
  minutes: 45,
  fluids: [{ name: "Brake fluid", grade: "as stamped on the reservoir" }],
  cautions: [BRAKES, "Brake fluid harms paint and eyes.", HANDBOOK],
};

export const PADS: DemoTask = {
  ...bare,
  title: "Brake pads and discs",
  plan: { ...plan, every: { distance: { km: 6000, mi: 4000 }, months: 12 } },
  minutes: 25,
  cautions: [BRAKES, HANDBOOK],
  points: [
    {
      name: "Front pad, inner",
      quantity: "thickness",
      unit: "mm",
      lower: 1.5,
      method: "value",
      wear: "down",
    },
    { name: "Hoses", quantity: "condition", method: "look" },
  ],
};

export const AIR_FILTER: DemoTask = {
  ...bare,
  title: "Air filter",
  plan: {
    ...plan,
    every: { distance: { km: 6000, mi: 4000 } },
    severe: { factor: 0.5, reason: "Dusty tracks", limits: ["distance"] },
  },
  minutes: 15,
  parts: [{ name: "Air filter", quantity: "1" }],
  cautions: [HANDBOOK],
};

export const TYRES: DemoTask = {
  ...bare,
  title: "Tyres: tread and pressure",
  plan: { ...plan, every: { distance: { km: 3000, mi: 2000 }, months: 6 } },
  minutes: 10,
  cautions: [
    "Local law on tread prevails. Tyre work belongs with a licensed technician.",
    HANDBOOK,
  ],
  points: [
    {
      name: "Rear tread",
      quantity: "depth",
      unit: "mm",
      lower: 1.6,
      method: "value",
      wear: "down",
    },
  ],
};

export const FILTER_HOURS: DemoTask = {
  ...bare,
  title: "Fuel filter",
  plan: { ...plan, every: { hours: 100, months: 24 } },
  minutes: 20,
  cautions: ["Fuel vapour: no flame, no spark, fresh air.", HANDBOOK],
};

export function inspection(on: string): DemoTask {
  return {
    ...bare,
    title: "Statutory inspection",
    plan: { ...plan, kind: "fixedDate", on, every: { months: 24 }, late: { months: 0 } },
    cautions: ["Local law says when and where."],
  };
}
