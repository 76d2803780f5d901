import { exampleNext } from "./example-task.ts";
import { EXAMPLE } from "./examples.ts";

const exampleSpread = {
  mean: 604.2,
  quantiles: [
    { p: 0.1, value: 561 },
    { p: 0.5, value: 598.4 },
    { p: 0.9, value: 671.9 },
  ],
};

export const exampleMeterForecast = {
  unit: "km",
  now: exampleSpread,
  shown: exampleSpread,
  perDay: { mean: 16.1, quantiles: [{ p: 0.5, value: 15.2 }] },
  parked: 0.06,
} as const;

export const exampleDueTask = {
  vehicleId: EXAMPLE.vehicleId,
  vehicleName: "Single 150, number 4",
  occurrence: "start",
  ...exampleNext,
} as const;
