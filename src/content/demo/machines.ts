import type { VehicleKind } from "../../domain/usage/kind.ts";
import {
  AIR_FILTER,
  BRAKE_FLUID,
  CHAIN,
  type DemoTask,
  FILTER_HOURS,
  inspection,
  OIL,
  PADS,
  TYRES,
  VALVES,
} from "./tasks.ts";

/** One invented machine and how it is used. */
export interface DemoMachine {
  name: string;
  kind: VehicleKind;
  meterUnit: "km" | "mi";
  group: "Harbour" | "Hill road" | "Workshop";
  /** Index of the member who looks after it. */
  member: 0 | 1 | 2 | 3;
  hoursMeter?: true;
  /** Days before today on which it came new into the co-operative. */
  newFor: number;
  /** Distance a year in the meter's unit. */
  perYear: number;
  /** How much the seasons count: 0 not at all, 1 fully. */
  seasonal: number;
  /** Days between readings, on average. */
  readEvery: number;
  tasks: DemoTask[];
  layUp?: { fromDaysAgo: number; toDaysAgo: number | null; reason: string };
  /** The last service that fell due was never logged: it is overdue. */
  forgets?: string;
  /** The last reading was typed with a digit too many: it is held. */
  slips?: true;
}

const ROAD = [VALVES, OIL, CHAIN, PADS, TYRES, BRAKE_FLUID];

export const MACHINES: DemoMachine[] = [
  {
    name: "Single 150, number 4",
    kind: "motorcycle",
    meterUnit: "km",
    group: "Harbour",
    member: 1,
    newFor: 720,
    perYear: 6200,
    seasonal: 0.7,
    readEvery: 12,
    tasks: [...ROAD, inspection("2027-04-30")],
  },
  {
    name: "Single 150, number 7",
    kind: "motorcycle",
    meterUnit: "km",
    group: "Harbour",
    member: 1,
    newFor: 690,
    perYear: 4100,
    seasonal: 0.9,
    readEvery: 20,
    tasks: ROAD,
    slips: true,
  },
  {
    name: "Single 150, number 9",
    kind: "motorcycle",
    meterUnit: "km",
    group: "Harbour",
    member: 2,
    newFor: 60,
    perYear: 5400,
    seasonal: 0.4,
    readEvery: 9,
    tasks: ROAD,
  },
  {
    name: "Twin 650 tourer, blue",
    kind: "motorcycle",
    meterUnit: "mi",
    group: "Hill road",
    member: 2,
    newFor: 730,
    perYear: 5200,
    seasonal: 1,
    readEvery: 18,
    tasks: ROAD,
  },
  {
    name: "Twin 650 tourer, grey",
    kind: "motorcycle",
    meterUnit: "km",
    group: "Hill road",
    member: 1,
    newFor: 700,
    perYear: 9800,
    seasonal: 1,
    readEvery: 15,
    tasks: ROAD,
    layUp: { fromDaysAgo: 24, toDaysAgo: null, reason: "Winter storage" },
  },
  {
    name: "Trail 250, number 1",
    kind: "motorcycle",
    meterUnit: "km",
    group: "Hill road",
    member: 3,
    newFor: 650,
    perYear: 3600,
    seasonal: 0.6,
    readEvery: 22,
    tasks: [VALVES, OIL, CHAIN, AIR_FILTER, PADS],
    forgets: "Air filter",
  },
  {
    name: "Trail 250, number 2",
    kind: "motorcycle",
    meterUnit: "km",
    group: "Hill road",
    member: 3,
    newFor: 640,
    perYear: 2900,
    seasonal: 0.6,
    readEvery: 30,
    tasks: [VALVES, OIL, CHAIN, AIR_FILTER],
  },
  {
    name: "Step-through 110, red",
    kind: "moped",
    meterUnit: "km",
    group: "Harbour",
    member: 0,
    newFor: 725,
    perYear: 3300,
    seasonal: 0.3,
    readEvery: 14,
    tasks: [OIL, CHAIN, TYRES, BRAKE_FLUID],
  },
  {
    name: "Step-through 110, green",
    kind: "moped",
    meterUnit: "km",
    group: "Harbour",
    member: 0,
    newFor: 500,
    perYear: 2400,
    seasonal: 0.3,
    readEvery: 25,
    tasks: [OIL, CHAIN, TYRES],
    forgets: "Tyres: tread and pressure",
  },
  {
    name: "Electric step-through",
    kind: "eScooter",
    meterUnit: "km",
    group: "Harbour",
    member: 2,
    newFor: 380,
    perYear: 2800,
    seasonal: 0.4,
    readEvery: 16,
    tasks: [TYRES, PADS, BRAKE_FLUID],
  },
  {
    name: "Quad of the shore crew",
    kind: "quad",
    meterUnit: "km",
    group: "Workshop",
    member: 3,
    hoursMeter: true,
    newFor: 710,
    perYear: 1500,
    seasonal: 0.2,
    readEvery: 28,
    tasks: [OIL, AIR_FILTER, FILTER_HOURS],
  },
  {
    name: "Workshop van",
    kind: "van",
    meterUnit: "km",
    group: "Workshop",
    member: 0,
    newFor: 740,
    perYear: 14000,
    seasonal: 0,
    readEvery: 21,
    tasks: [BRAKE_FLUID, TYRES, inspection("2027-02-28")],
  },
];
