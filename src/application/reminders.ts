import type { PlainDate } from "../domain/calendar/plain-date.ts";
import { dateAt } from "../domain/calendar/zone.ts";
import { Refusal, refuseField } from "../domain/failure/failure.ts";
import { type Caller, seesVehicle } from "./caller.ts";
import { accountTime, type Deps } from "./deps.ts";
import { refreshMachine } from "./machine/refresh.ts";
import type { Transaction } from "./ports.ts";
import type { Reminder } from "./records.ts";

export type DeferUntil =
  | { untilOn: PlainDate; untilDistance?: undefined }
  | { untilDistance: number; untilOn?: undefined };

/** The reminder, where the caller sees its machine. `null` as caller: a mailed link, bound to it. */
export async function findReminder(
  tx: Transaction,
  caller: Caller | null,
  id: string,
): Promise<Reminder> {
  const reminder = await tx.reminders.find(id);
  const vehicle = reminder && (await tx.vehicles.find(reminder.vehicleId));
  if (!reminder || !vehicle || (caller && !seesVehicle(caller, vehicle))) {
    throw new Refusal({ kind: "notFound", resource: "reminder" });
  }
  return reminder;
}

/** As it stands once nobody else plans its machine. */
async function lockedReminder(
  tx: Transaction,
  caller: Caller | null,
  id: string,
): Promise<Reminder> {
  const { vehicleId } = await findReminder(tx, caller, id);
  await tx.machine.lock(vehicleId);
  return findReminder(tx, caller, id);
}

/**
 * Says nothing of this due point until a date, or until the machine has run a distance in all, in
 * its meter's unit; then the furthest stage that is reached speaks.
 */
export async function deferReminder(
  tx: Transaction,
  caller: Caller | null,
  id: string,
  { untilOn, untilDistance }: DeferUntil,
  deps: Deps,
): Promise<Reminder> {
  const reminder = await lockedReminder(tx, caller, id);
  const now = await accountTime(tx, deps);
  const member = await tx.members.find(reminder.memberId);
  const today = dateAt(now, member?.timeZone ?? "UTC");
  if (untilOn !== undefined && untilOn <= today) {
    throw refuseField("#/untilOn", `must lie after today, ${today}`);
  }
  if (reminder.status === "cancelled" || reminder.status === "failed") {
    throw new Refusal({ kind: "conflict", detail: `This reminder is ${reminder.status} already.` });
  }
  await tx.reminders.update(id, reminder.version, {
    deferredUntilOn: untilOn ?? null,
    deferredUntilDistance: untilDistance ?? null,
    // One that was sent stays sent: what it puts off are the stages of its due point that follow.
    ...(reminder.status === "planned" && { status: "deferred" as const }),
    updatedAt: now,
  });
  await refreshMachine(tx, reminder.vehicleId, deps);
  return (await tx.reminders.find(id)) ?? reminder;
}

/** A person does not want this reminder: the stage stays silent for this due point, for good. */
export async function cancelReminder(
  tx: Transaction,
  caller: Caller,
  id: string,
  reason: string | null,
  deps: Deps,
): Promise<Reminder> {
  const reminder = await lockedReminder(tx, caller, id);
  if (reminder.status !== "planned" && reminder.status !== "deferred") {
    throw new Refusal({ kind: "conflict", detail: `This reminder is ${reminder.status} already.` });
  }
  const now = await accountTime(tx, deps);
  const cancelled = await tx.reminders.update(id, reminder.version, {
    status: "cancelled",
    cancelledBy: "person",
    why: { by: "person", ...(reason !== null && { reason }) },
    updatedAt: now,
  });
  await refreshMachine(tx, reminder.vehicleId, deps);
  return cancelled;
}
