import { accountTime } from "../../application/deps.ts";
import { dueList } from "../../application/due-list.ts";
import { expectedWork } from "../../application/workload.ts";
import { addDays } from "../../domain/calendar/plain-date.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { exampleDueTask } from "../example-forecast.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownDueTask } from "../present/forecast.ts";
import { shownWorkload } from "../present/workload.ts";
import { dueList as dueListSchema, dueQuery } from "../schemas/forecast.ts";
import { workload, workloadQuery } from "../schemas/workload.ts";
import { defineRoute, inAccount } from "../services.ts";

const list = defineRoute({
  operationId: "listDue",
  method: "GET",
  path: "/v1/due",
  tag: "Forecast",
  summary: "What falls due in a window, over all machines",
  description:
    "Tasks of all machines that the key sees, in the order of the first likely day (P10) that followers were last told, on (that day, taskId), each with the probability of being due by the end of the window. What is due or overdue already is always among them; what is less than 5 % likely is left out, so that a page may hold fewer than `limit`. The window's dates are dates in the owner's zone.",
  access: { scope: "read" },
  query: dueQuery,
  answers: {
    200: {
      description: "A page of tasks.",
      schema: dueListSchema,
      example: {
        from: "2026-05-01",
        to: "2026-06-30",
        items: [{ ...exampleDueTask, probability: 0.97 }],
        nextCursor: null,
      },
    },
  },
  async handle(call) {
    const { query, caller, deps } = call;
    return inAccount(call, async (tx) => {
      const [now, { timeZone: zone }] = [await accountTime(tx, deps), await tx.owner()];
      const today = dateAt(now, zone);
      const from = query.from ?? today;
      const to = query.to ?? addDays(from, query.withinDays);
      const { vehicleId = null, group = null, state = null } = query;
      const window = { from, to, zone, vehicleId, group, state };
      const found = await dueList(tx, caller, window, today, pageAsked(call), deps);
      const answer = pageAnswer(call, found, ({ assessed, task, probability }) => ({
        ...shownDueTask(assessed, task),
        probability: Math.round(probability * 10_000) / 10_000,
      }));
      return { ...answer, body: { from, to, ...answer.body } };
    });
  },
});

const exampleLoad = { jobs: 3, minutes: 150, untimed: 1 };

const load = defineRoute({
  operationId: "getWorkload",
  method: "GET",
  path: "/v1/workload",
  tag: "Forecast",
  summary: "The work to expect, week by week",
  description:
    "How many jobs come due in each week over all machines that the key sees, and how long they take: expected numbers, and between which the number lies with a probability of 80 %. It goes by the days that followers were last told (`forecast.changed`), takes each job to be done when it comes due and to come again after its interval, and machines to be ridden independently of one another. `waiting` has come due already. Weeks begin on Monday in the owner's zone; the first is what is left of this one.",
  access: { scope: "read" },
  query: workloadQuery,
  answers: {
    200: {
      description: "The work that waits, and the weeks.",
      schema: workload,
      example: {
        waiting: exampleLoad,
        weeks: [
          {
            week: "2026-W18",
            from: "2026-05-01",
            to: "2026-05-03",
            jobs: 1.4,
            minutes: 62,
            untimed: 0.3,
            likely: { least: 0, most: 3 },
          },
        ],
      },
    },
  },
  async handle(call) {
    const { query, caller, deps } = call;
    return inAccount(call, async (tx) => {
      const [now, { timeZone: zone }] = [await accountTime(tx, deps), await tx.owner()];
      const { weeks, vehicleId = null, group = null } = query;
      const asked = { weeks, vehicleId, group };
      const expected = await expectedWork(tx, caller, asked, dateAt(now, zone), zone);
      return { status: 200, body: shownWorkload(expected) };
    });
  },
});

export const dueRoutes = [list, load];
