import { distanceShown, totalShownAs } from "../../application/machine/as-shown.ts";
import {
  estimateView,
  machineView,
  reminderItemView,
} from "../../application/machine/mail-view.ts";
import type { FieldFault } from "../../application/page-views.ts";
import { deferReminder } from "../../application/reminders.ts";
import type { ReminderItemView } from "../../application/views.ts";
import { isPlainDate } from "../../domain/calendar/plain-date.ts";
import { renderDeferPage } from "../../render/pages/defer-page.ts";
import { renderDonePage } from "../../render/pages/done-page.ts";
import type { Services } from "../services.ts";
import type { LinkContext } from "./link-context.ts";
import { gone } from "./log-work.ts";
import { faulty, formView, ok, type Purpose } from "./page-answer.ts";
import { assessedOf } from "./post-reading.ts";
import { numberOf } from "./typed.ts";

/** Hear no more of a due point until a date or a distance. */
export const deferPurpose: Purpose = {
  show(context, services) {
    const item = itemOf(context);
    return item ? ok(page(context, item, services, {}, [])) : gone(context);
  },
  read(context, fields, services) {
    const item = itemOf(context);
    const { reminderId } = context.claims;
    if (!item || reminderId === undefined) return gone(context);
    const { until, faults } = read(context, fields);
    if (faults.length > 0) return faulty(page(context, item, services, fields, faults));
    const { member, account } = context;
    const { machine } = assessedOf(context);
    const told =
      until.untilDistance === undefined
        ? until
        : { untilDistance: distanceShown(machine, until.untilDistance) };
    return async (tx) => {
      await deferReminder(tx, null, reminderId, until, services);
      return ok(
        renderDonePage({
          locale: member.locale,
          accountName: account.name,
          machine: machineView(assessedOf(context).machine),
          today: assessedOf(context).today,
          done: { code: "deferred", title: item.title, ...told },
        }),
      );
    };
  },
};

function itemOf(context: LinkContext): ReminderItemView | null {
  const assessed = assessedOf(context);
  const one = assessed.tasks.find(({ task }) => task.id === context.claims.taskId);
  if (one?.due.state !== "point") return null;
  const { occurrence } = one.due.point;
  const { state } = one.judged;
  const stage = state === "due" || state === "overdue" ? state : "ahead";
  return reminderItemView(
    assessed,
    one,
    { stage, occurrence, revision: 0 },
    { logWork: "", defer: "" },
  );
}

function read(context: LinkContext, fields: Record<string, string>) {
  const { machine, today, meters } = assessedOf(context);
  const faults: FieldFault[] = [];
  const on = fields.untilOn ?? "";
  const typed = numberOf(fields, "untilDistance", faults, false);
  const distance = typed === null ? null : totalShownAs(machine, typed);
  if (on !== "" && !isPlainDate(on)) faults.push({ field: "untilOn", code: "notDate" });
  else if (on !== "" && on <= today) faults.push({ field: "untilOn", code: "notLater" });
  if (on !== "" && distance !== null) faults.push({ field: "untilDistance", code: "notBoth" });
  if (on === "" && distance === null && faults.length === 0) {
    faults.push({ field: "untilOn", code: "required" });
  }
  const latest = meters.distance.latest?.total;
  if (distance !== null && latest !== undefined && distance <= latest) {
    faults.push({ field: "untilDistance", code: "notLater" });
  }
  const until = on !== "" ? { untilOn: on } : { untilDistance: distance ?? 0 };
  return { until, faults };
}

function page(
  context: LinkContext,
  item: ReminderItemView,
  services: Services,
  typed: Record<string, string>,
  faults: FieldFault[],
): string {
  const assessed = assessedOf(context);
  const { machine, today } = assessed;
  const meterToday = estimateView(assessed);
  return renderDeferPage({
    ...formView(context, services),
    machine: machineView(machine),
    today,
    item,
    typed,
    faults,
    ...(meterToday && { meterToday }),
  });
}
