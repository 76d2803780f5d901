import { addLayUp, changeLayUp } from "../../application/lay-ups.ts";
import { machineView } from "../../application/machine/mail-view.ts";
import type { DonePageView, FieldFault } from "../../application/page-views.ts";
import { isPlainDate, type PlainDate } from "../../domain/calendar/plain-date.ts";
import { renderDonePage } from "../../render/pages/done-page.ts";
import { renderLayUpPage } from "../../render/pages/lay-up-page.ts";
import type { Services } from "../services.ts";
import type { LinkContext } from "./link-context.ts";
import { faulty, formView, ok, type Purpose } from "./page-answer.ts";
import { assessedOf } from "./post-reading.ts";

const LONGEST_REASON = 500;

/** Start a lay-up, or say when the one that runs ends: whichever fits the machine as it stands. */
export const layUpPurpose: Purpose = {
  show: (context, services) => ok(page(context, services, {}, [])),
  read(context, fields, services) {
    const running = runningOf(context);
    // The form that was sent may be older than the lay-up: one that starts has a first day in it.
    const starts = fields.from !== undefined;
    const { from, to, reason, faults } =
      running && !starts ? readEnd(running, fields) : readStart(fields);
    if (faults.length > 0) return faulty(page(context, services, fields, faults));
    const vehicleId = assessedOf(context).machine.vehicle.id;
    return async (tx) => {
      if (running && starts) return faulty(page(context, services, {}, []));
      if (running) {
        const ended = ({ reason }: { reason: string | null }) => ({ from, to, reason });
        await changeLayUp(tx, null, vehicleId, running.id, "any", ended, services);
        return ok(done(context, { code: "layUpEnded", to: to ?? from }, services));
      }
      await addLayUp(tx, null, vehicleId, { from, to, reason }, services);
      return ok(
        done(context, { code: "layUpStarted", from, ...(to !== null && { to }) }, services),
      );
    };
  },
};

function runningOf(context: LinkContext) {
  const { machine, today } = assessedOf(context);
  return machine.layUps.find(({ from, to }) => from <= today && (to === null || today < to));
}

interface Read {
  from: PlainDate;
  to: PlainDate | null;
  reason: string | null;
  faults: FieldFault[];
}

function readStart(fields: Record<string, string>): Read {
  const { from = "", to = "", reason = "" } = fields;
  const faults: FieldFault[] = [];
  if (from === "") faults.push({ field: "from", code: "required" });
  else if (!isPlainDate(from)) faults.push({ field: "from", code: "notDate" });
  if (to !== "" && !isPlainDate(to)) faults.push({ field: "to", code: "notDate" });
  else if (to !== "" && to <= from) faults.push({ field: "to", code: "notAfterFrom" });
  if (reason.length > LONGEST_REASON) faults.push({ field: "reason", code: "tooLong" });
  return { from, to: to === "" ? null : to, reason: reason === "" ? null : reason, faults };
}

function readEnd({ from }: { from: PlainDate }, { to = "" }: Record<string, string>): Read {
  const faults: FieldFault[] = [];
  if (to === "") faults.push({ field: "to", code: "required" });
  else if (!isPlainDate(to)) faults.push({ field: "to", code: "notDate" });
  else if (to <= from) faults.push({ field: "to", code: "notAfterFrom" });
  return { from, to, reason: null, faults };
}

function page(
  context: LinkContext,
  services: Services,
  typed: Record<string, string>,
  faults: FieldFault[],
): string {
  const { machine, today } = assessedOf(context);
  const running = runningOf(context);
  return renderLayUpPage({
    ...formView(context, services),
    machine: machineView(machine),
    today,
    typed,
    faults,
    ...(running && {
      running: {
        from: running.from,
        ...(running.to !== null && { to: running.to }),
        ...(running.reason !== null && { reason: running.reason }),
      },
    }),
  });
}

/** A machine that is in use again asks for what its meter shows. */
function done(context: LinkContext, what: DonePageView["done"], services: Services): string {
  const { machine, today } = assessedOf(context);
  const { member, account, claims, now } = context;
  const inUse = what.code === "layUpEnded" && what.to <= today;
  const postReading = services.links.url({ ...claims, purpose: "postReading" }, now);
  return renderDonePage({
    locale: member.locale,
    accountName: account.name,
    machine: machineView(machine),
    today,
    done: what,
    ...(inUse && { links: { postReading } }),
  });
}
