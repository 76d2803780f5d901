import { monitorEventLoopDelay } from "node:perf_hooks";

/** The longest times, ms, for which nothing else of the service had its turn. */
export interface LoopBlocks {
  /** While 1,000 forecasts in one request were answered. */
  forecastsMs: number;
  /** While one of 8 MiB was. */
  fullBodyMs: number;
}

/** Watches the event loop of this process; what it gives back ends that and tells the longest block, ms. */
export function watchLoop(): () => number {
  const delay = monitorEventLoopDelay({ resolution: 1 });
  delay.enable();
  return () => {
    delay.disable();
    return delay.max / 1e6;
  };
}

const BEGUN = Date.parse("2024-01-01T08:00:00Z");
const HOUR = 3_600_000;
const MOST_BYTES = 8 * 1024 * 1024;

/** 1,000 machines of fifteen readings, with ten targets and nine quantiles each. */
export function thousandForecasts(): string {
  const one = {
    ...machine(15, 24 * 14, 15),
    targets: Array.from({ length: 10 }, (_, n) => 1000 + 500 * n),
    quantiles: Array.from({ length: 9 }, (_, n) => (n + 1) / 10),
  };
  return JSON.stringify({ cases: Array.from({ length: 1000 }, () => one) });
}

/**
 * As many machines of 2,000 readings as a body takes. Most readings are later than what is asked
 * about: they are read and checked, but not judged, which would take a minute.
 */
export function fullForecasts(): string {
  const one = JSON.stringify(machine(2000, 1, 50));
  const count = Math.floor((MOST_BYTES - 20) / (one.length + 1));
  return `{"cases":[${Array.from({ length: count }, () => one).join(",")}]}`.padEnd(MOST_BYTES);
}

function machine(readings: number, hours: number, counted: number) {
  const at = (n: number) => new Date(BEGUN + n * hours * HOUR).toISOString();
  return {
    asOf: at(counted),
    readings: Array.from({ length: readings }, (_, n) => ({ at: at(n), value: n * 30 })),
    targets: [100_000],
  };
}
