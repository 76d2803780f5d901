import type { expectedWork } from "../../application/workload.ts";
import { isoWeekDate } from "../../domain/calendar/iso-week.ts";
import type { PlainDate } from "../../domain/calendar/plain-date.ts";
import type { Load } from "../../domain/workload/workload.ts";

export function shownWorkload({ waiting, weeks }: Awaited<ReturnType<typeof expectedWork>>) {
  return {
    waiting: shownLoad(waiting),
    weeks: weeks.map(({ from, to, likely, ...load }) => ({
      week: shownWeek(from),
      from,
      to,
      ...shownLoad(load),
      likely: { least: likely.from, most: likely.to },
    })),
  };
}

function shownLoad({ jobs, minutes, untimed }: Load) {
  return { jobs: toHundredth(jobs), minutes: Math.round(minutes), untimed: toHundredth(untimed) };
}

function shownWeek(date: PlainDate): string {
  const { year, week } = isoWeekDate(date);
  return `${year}-W${String(week).padStart(2, "0")}`;
}

function toHundredth(value: number): number {
  return Math.round(value * 100) / 100;
}
