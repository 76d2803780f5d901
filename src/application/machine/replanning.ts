import { type Instant, MS_PER_DAY } from "../../domain/calendar/plain-date.ts";
import { startOfDay } from "../../domain/calendar/zone.ts";
import { duePointMovesOn } from "../../domain/due/due-point.ts";
import { HORIZON_DAYS } from "../../domain/reminder/stages.ts";
import type { MachineChanges } from "../ports.ts";
import { type Assessed, machineFacts } from "./assess.ts";
import { PLANNED_BY } from "./planned-by.ts";
import type { PlannedTask } from "./planned-task.ts";

/** Plans look this far at most; before its end they are made anew without any occasion. */
const HORIZON_MS = HORIZON_DAYS * MS_PER_DAY;
/** Nearer than this a moment is waited for exactly. */
const EXACT_MS = 2 * MS_PER_DAY;

/**
 * When the plan must be made again though nothing new was posted: a stage of some task is reached,
 * which followers are told whether or not somebody gets a mail; a yearly date that was missed gives
 * way to the next one; a lay-up that was told of before begins or ends; no plan sees beyond its
 * horizon.
 */
export function replanning(
  assessed: Assessed,
  planned: readonly PlannedTask[],
): Pick<MachineChanges, "replan"> {
  const { machine, now } = assessed;
  const { replanAt, plannedBy } = machine;
  const moments = [
    ...datesMoving(assessed),
    ...layUpsTurning(assessed),
    ...stagesAhead(planned, now),
  ];
  const soonest = Math.min(now + HORIZON_MS / 2, ...moments);
  const stands = plannedBy === PLANNED_BY && replanAt !== null && replanAt > now;
  // A plan that is made a little early is the same plan: the row is not written for days more.
  if (stands && replanAt <= soonest) return {};
  const replan = {
    vehicleId: machine.vehicle.id,
    at: halfway(now, soonest),
    plannedBy: PLANNED_BY,
  };
  return { replan };
}

function datesMoving({ machine, tasks, today, zone }: Assessed): Instant[] {
  return tasks.flatMap(({ task, last }) => {
    const on = duePointMovesOn(task.plan, last, machineFacts(machine), today);
    return on === null ? [] : [startOfDay(on, zone)];
  });
}

function layUpsTurning({ machine, zone, now }: Assessed): Instant[] {
  const days = machine.layUps.flatMap(({ from, to }) => (to === null ? [from] : [from, to]));
  return days.map((day) => startOfDay(day, zone)).filter((moment) => moment > now);
}

function stagesAhead(planned: readonly PlannedTask[], now: Instant): Instant[] {
  return planned.flatMap(({ moments }) =>
    moments === null
      ? []
      : [moments.ahead, moments.due, moments.overdue].flatMap((moment) =>
          moment !== null && moment.at > now ? [moment.at] : [],
        ),
  );
}

/**
 * A far moment wanders with each reading; planning again halfway there leaves the row alone unless
 * the moment comes as much nearer as that.
 */
function halfway(now: Instant, moment: Instant): Instant {
  const left = moment - now;
  return left <= EXACT_MS ? moment : Math.floor(now + left / 2);
}
