import type { Instant, PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import type { Links } from "../links.ts";
import { type Assessed, type AssessedTask, assess } from "../machine/assess.ts";
import { reminderItemView, reminderMachineView } from "../machine/mail-view.ts";
import { expectedDayOf } from "../machine/outlook.ts";
import type { Letter } from "../outbox-ports.ts";
import type { KnownReminder, ReminderEnd, SendingTransaction } from "../ports.ts";
import type { Account, Member } from "../records.ts";
import type {
  MailFrameView,
  ReminderItemView,
  ReminderMachineView,
  ReminderMailView,
} from "../views.ts";
import { stillWanted } from "./still-wanted.ts";

export interface Composed {
  view: ReminderMailView;
  /** The reminders that the mail speaks of, with the day on which each was then expected. */
  expectedDays: { id: string; day: number | null }[];
  taskIds: string[];
}

interface Carried {
  reminder: KnownReminder;
  wanted: AssessedTask | "ask";
}

/**
 * The mail of a message's reminders, from the data as they are now. Reminders that are wanted no
 * more are cancelled on the way; null when none is left.
 */
export async function composeReminders(
  tx: Pick<SendingTransaction, "machine">,
  { message, account, vehicleIds }: Letter,
  member: Member,
  now: Instant,
  links: Links,
): Promise<Composed | null> {
  const machines: ReminderMachineView[] = [];
  const expectedDays: Composed["expectedDays"] = [];
  const taskIds: string[] = [];
  for (const vehicleId of vehicleIds) {
    const machine = await tx.machine.load(vehicleId, true);
    if (!machine) continue;
    const assessed = assess(machine, now);
    const { carried, ended } = sort(assessed, message.id);
    await tx.machine.write({ remindersCancelled: ended }, now);
    if (carried.length === 0) continue;
    machines.push(machineOf(assessed, carried, member, links));
    for (const { reminder, wanted } of carried) {
      const day = wanted === "ask" ? null : expectedDayOf(assessed, wanted);
      expectedDays.push({ id: reminder.id, day });
      if (wanted !== "ask") taskIds.push(wanted.task.id);
    }
  }
  if (machines.length === 0) return null;
  machines.sort((a, b) => mostPressing(a) - mostPressing(b));
  return { view: { ...frameOf(account, member, now, links), machines }, expectedDays, taskIds };
}

export function frameOf(
  account: Account,
  member: Member,
  now: Instant,
  links: Links,
): MailFrameView {
  const unsubscribe = links.url(
    { purpose: "unsubscribe", accountId: account.id, memberId: member.id },
    now,
  );
  return {
    locale: member.locale,
    zone: member.timeZone,
    member: { name: member.name },
    accountName: account.name,
    today: todayOf(member, now),
    links: { unsubscribePage: unsubscribe, unsubscribeOneClick: unsubscribe },
  };
}

function todayOf(member: Member, now: Instant): PlainDate {
  return dateAt(now, member.timeZone);
}

function sort(assessed: Assessed, messageId: string): { carried: Carried[]; ended: ReminderEnd[] } {
  const carried: Carried[] = [];
  const ended: ReminderEnd[] = [];
  for (const reminder of assessed.machine.reminders) {
    if (reminder.messageId !== messageId) continue;
    const wanted = stillWanted(assessed, reminder);
    if (wanted !== null) carried.push({ reminder, wanted });
    else ended.push({ id: reminder.id, why: { by: "notWanted" } });
  }
  return { carried, ended };
}

function machineOf(
  assessed: Assessed,
  carried: readonly Carried[],
  member: Member,
  links: Links,
): ReminderMachineView {
  const { machine, now } = assessed;
  const claims = {
    accountId: machine.account.id,
    memberId: member.id,
    vehicleId: machine.vehicle.id,
  };
  const items = carried.flatMap(({ reminder, wanted }): ReminderItemView[] => {
    if (wanted === "ask" || reminder.stage === "ask") return [];
    const taskId = wanted.task.id;
    const view = reminderItemView(
      assessed,
      wanted,
      { ...reminder, stage: reminder.stage },
      {
        logWork: links.url({ ...claims, purpose: "logWork", taskId }, now),
        defer: links.url({ ...claims, purpose: "defer", taskId, reminderId: reminder.id }, now),
      },
    );
    return view ? [view] : [];
  });
  const asking = carried.filter(({ wanted }) => wanted === "ask");
  const afterLayUp = assessed.laidUp && asking.some(({ reminder }) => reminder.why.by === "layUp");
  const asked = { asks: asking.length > 0, ...(afterLayUp && { asksAfterLayUp: true }) };
  return reminderMachineView(assessed, items, asked, {
    postReading: links.url({ ...claims, purpose: "postReading" }, now),
    layUp: links.url({ ...claims, purpose: "layUp" }, now),
  });
}

function mostPressing({ items }: ReminderMachineView): number {
  const rank = { overdue: 0, due: 1, ahead: 2 };
  return Math.min(3, ...items.map(({ stage }) => rank[stage]));
}
