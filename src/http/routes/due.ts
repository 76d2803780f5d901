import { accountTime } from "../../application/deps.ts";
import { dueList } from "../../application/due-list.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { exampleDueTask } from "../example-forecast.ts";
import { shownDueTask } from "../present/forecast.ts";
import { dueList as dueListSchema, dueQuery } from "../schemas/forecast.ts";
import { defineRoute, inAccount } from "../services.ts";

const list = defineRoute({
  operationId: "listDue",
  method: "GET",
  path: "/v1/due",
  tag: "Forecast",
  summary: "What falls due in a window, over all machines",
  description:
    "Tasks of all machines that the key sees, in the order in which they most likely fall due, each with the probability of being due by the end of the window. What is due or overdue already is always among them; what is less than 5 % likely is left out. The window's dates are dates in the owner's zone.",
  access: { scope: "read" },
  query: dueQuery,
  answers: {
    200: {
      description: "The tasks, at most `limit`.",
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
      const [now, owner] = [await accountTime(tx, deps), await tx.owner()];
      const window = {
        from: query.from ?? null,
        to: query.to ?? null,
        withinDays: query.withinDays,
        vehicleId: query.vehicleId ?? null,
        state: query.state ?? null,
      };
      const today = dateAt(now, owner.timeZone);
      const found = await dueList(tx, caller, window, query.limit, today, deps);
      const items = found.items.map(({ assessed, task, probability }) => ({
        ...shownDueTask(assessed, task),
        probability: Math.round(probability * 10_000) / 10_000,
      }));
      return { status: 200, body: { from: found.from, to: found.to, items, nextCursor: null } };
    });
  },
});

export const dueRoutes = [list];
