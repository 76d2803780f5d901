import { distanceShown } from "../../application/machine/as-shown.ts";
import type { Assessed, AssessedTask } from "../../application/machine/assess.ts";
import { estimateView, likelyDates, machineView } from "../../application/machine/mail-view.ts";
import type { DonePageView, FieldFault, NextDueView } from "../../application/page-views.ts";
import { type RecordedReading, recordReading } from "../../application/readings/record-reading.ts";
import { isPlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt, noonOf } from "../../domain/calendar/zone.ts";
import type { DistanceUnit } from "../../domain/units/distance.ts";
import { renderDonePage } from "../../render/pages/done-page.ts";
import { renderPostReadingPage } from "../../render/pages/post-reading-page.ts";
import { nearest } from "../present/reading.ts";
import type { Services } from "../services.ts";
import type { LinkContext } from "./link-context.ts";
import { faulty, formView, ok, type Purpose } from "./page-answer.ts";
import { numberOf } from "./typed.ts";

/** Post today's reading: the value that the meter shows, and when it was read. */
export const postReadingPurpose: Purpose = {
  show: (context, services) => ok(page(context, services, {}, [])),
  read(context, fields, services) {
    const assessed = assessedOf(context);
    const { value, faults } = read(assessed, fields);
    if (value === null) return faulty(page(context, services, fields, faults));
    const { unit } = value;
    return async (tx) => {
      const done = await recordReading(
        tx,
        null,
        assessed.machine.vehicle.id,
        () => ({ ...value, source: "link" }),
        {},
        services,
      );
      return ok(renderDonePage(doneView(context, done, unit, services)));
    };
  },
};

export function assessedOf({ assessed }: LinkContext): Assessed {
  if (!assessed) throw new Error("This link is about a machine and has none.");
  return assessed;
}

function read(assessed: Assessed, fields: Record<string, string>) {
  const { machine, today, zone, now } = assessed;
  const faults: FieldFault[] = [];
  const value = numberOf(fields, "value", faults);
  const unit: DistanceUnit =
    fields.unit === "mi" || fields.unit === "km" ? fields.unit : machine.vehicle.meterUnit;
  const on = fields.on || today;
  if (!isPlainDate(on)) faults.push({ field: "on", code: "notDate" });
  else if (on > today) faults.push({ field: "on", code: "inFuture" });
  if (value === null || faults.length > 0) return { value: null, faults };
  const at = on === today ? now : Math.min(noonOf(on, zone), now);
  return { value: { value, unit, at }, faults };
}

function page(
  context: LinkContext,
  services: Services,
  typed: Record<string, string>,
  faults: FieldFault[],
): string {
  const assessed = assessedOf(context);
  const { machine, today, meters } = assessed;
  const meterToday = estimateView(assessed);
  const { latest } = meters.distance;
  return renderPostReadingPage({
    ...formView(context, services),
    machine: machineView(machine),
    today,
    typed,
    faults,
    ...(meterToday && { meterToday }),
    ...(latest && {
      lastReading: {
        value: distanceShown(machine, latest.total),
        on: dateAt(latest.at, context.member.timeZone),
      },
    }),
  });
}

function doneView(
  { member, account, token }: LinkContext,
  { reading, assessed }: RecordedReading,
  unit: DistanceUnit,
  services: Services,
): DonePageView {
  const frame = {
    locale: member.locale,
    accountName: account.name,
    machine: machineView(assessed.machine),
    today: assessed.today,
  };
  if (reading.status === "held") {
    const { value, reasons } = reading;
    return {
      ...frame,
      done: { code: "readingHeld", value, unit, reasons },
      links: { postReading: services.links.address(token) },
    };
  }
  const next = nearest(assessed).map((one) => nextDueView(assessed, one));
  return { ...frame, done: { code: "readingAccepted", value: reading.value, unit, next } };
}

/** A task that comes due next, as a page tells it. */
export function nextDueView(assessed: Assessed, one: AssessedTask): NextDueView {
  const likely = likelyDates(assessed, one);
  const point = one.due.state === "point" ? one.due.point : null;
  const reached = one.judged.state === "due" || one.judged.state === "overdue";
  return {
    title: one.task.title,
    cautions: one.task.cautions,
    ...(likely && { likely }),
    ...(reached && { reached }),
    ...(point?.distance !== undefined && {
      distance: distanceShown(assessed.machine, point.distance),
    }),
  };
}
