import { setImmediate as nextTurn } from "node:timers/promises";
import { productLoop } from "./asking-loop.ts";
import { type Loop, plainLoop } from "./closed-loop.ts";
import { lendingOfFleets } from "./fleets.ts";
import { FILES, groupsOf } from "./groups.ts";
import { type Measured, measure } from "./measure.ts";
import type { Method } from "./method.ts";
import { OVERALL_AVERAGE } from "./naive/overall-average.ts";
import type { Report } from "./report.ts";
import type { Series } from "./series.ts";
import { loopOf, reliabilityOf, rowOf, type Tested } from "./summary.ts";

/** How many steps a run takes: each method, and the product's loop, on each series. */
export function stepsOf(methods: readonly Method[], series: readonly Series[]): number {
  return (methods.length + 1) * series.length;
}

/**
 * Every method on every series, with a call of `step` after each. The last method is the product,
 * of which the reliability is told. The same series give the same report.
 */
export async function runBacktest(
  methods: readonly Method[],
  series: readonly Series[],
  step: () => void,
): Promise<Report> {
  const tested: Tested[] = [];
  for (const method of methods) {
    const measured: Measured[] = [];
    const loops: Loop[] = [];
    for (const [place, one] of series.entries()) {
      measured.push(measure(method, one, place));
      loops.push(plainLoop(method, one));
      step();
      // The progress bar is drawn between the turns of the event loop.
      await nextTurn();
    }
    tested.push({ method: method.name, measured, loops });
  }
  const silent: Loop[] = [];
  const asking: Loop[] = [];
  for (const [place, one] of series.entries()) {
    silent.push(productLoop(one, place, false));
    asking.push(productLoop(one, place, true));
    step();
    await nextTurn();
  }
  return reportOf(tested, { silent, asking }, series);
}

function reportOf(
  tested: readonly Tested[],
  loops: { silent: readonly Loop[]; asking: readonly Loop[] },
  series: readonly Series[],
): Report {
  const average = tested.find(({ method }) => method === OVERALL_AVERAGE.name);
  const product = tested.at(-1);
  if (average === undefined || product === undefined) throw new Error("no method to compare with");
  return {
    lending: series.some(({ group }) => group !== FILES) ? lendingOfFleets() : null,
    groups: groupsOf(series).map((group) => ({
      title: group.title,
      series: group.members.length,
      rows: tested.map((one) => rowOf(one, average, group)),
      reliability: reliabilityOf(product, group),
      loop: { silent: loopOf(loops.silent, group), asking: loopOf(loops.asking, group) },
    })),
  };
}
