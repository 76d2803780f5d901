import type {
  ReminderItemView,
  ReminderMachineView,
  ReminderMailView,
} from "../../application/views.ts";
import { dateInShort } from "../date-sentence.ts";
import { shorten } from "../figures.ts";
import type { Wording } from "../wording.ts";
import { headerText } from "./headers.ts";
import { allItems } from "./selection.ts";

/** A first job and its machine; undefined where the mail only asks for readings. */
function first(
  view: ReminderMailView,
): { machine: ReminderMachineView; item: ReminderItemView } | undefined {
  for (const machine of view.machines) {
    const [item] = machine.items;
    if (item) return { machine, item };
  }
  return undefined;
}

/** "Valve clearance on Single 150: between 12 and 30 May". One line, no control characters. */
export function subjectOf(words: Wording, view: ReminderMailView): string {
  const lead = first(view);
  if (!lead) return headerText(askSubject(words, view));
  const { machine, item } = lead;
  const range = dateInShort(words, {
    item,
    today: view.today,
    zone: view.zone,
    meterUnit: machine.meterUnit,
  });
  const count = allItems(view).length;
  const withJobs = view.machines.filter(({ items }) => items.length > 0).length;
  const name = shorten(machine.name, 40);
  let subject = words.say("mail.subjectOne", {
    job: shorten(item.title, 60),
    machine: name,
    range,
  });
  if (withJobs > 1)
    subject = words.say("mail.subjectMachines", { count, machines: withJobs, range });
  else if (count > 1) subject = words.say("mail.subjectJobs", { count, machine: name, range });
  const overdue = allItems(view).filter(({ stage }) => stage === "overdue").length;
  if (overdue === count) subject = words.say("mail.subjectOverdue", { count, subject });
  else if (overdue > 0) subject = words.say("mail.subjectOverdueSome", { overdue, subject });
  return headerText(subject);
}

function askSubject(words: Wording, { machines }: ReminderMailView): string {
  const [machine] = machines;
  if (machines.length > 1) return words.say("mail.subjectAskMany", { machines: machines.length });
  const asks = machine?.asksAfterLayUp ? "mail.subjectAskLayUp" : "mail.subjectAsk";
  return words.say(asks, { machine: shorten(machine?.name ?? "", 60) });
}

function askOpening(words: Wording, { machines }: ReminderMailView): string {
  const [machine] = machines;
  if (machines.length > 1) return words.say("mail.openingAskMany", { machines: machines.length });
  const asks = machine?.asksAfterLayUp ? "mail.openingAskLayUp" : "mail.openingAsk";
  return words.say(asks, { machine: shorten(machine?.name ?? "", 40) });
}

/** What a machine's block says of the reading that is asked for. */
export function askedOf({
  asksAfterLayUp,
  items,
}: ReminderMachineView): "mail.askLayUp" | "mail.askToo" | "mail.askWhy" {
  if (asksAfterLayUp) return "mail.askLayUp";
  return items.length > 0 ? "mail.askToo" : "mail.askWhy";
}

/** Characters in which the text says machine, job and range: what a list of mails shows. */
const OPENING = 90;

/** "Single 150: Valve clearance, between 12 and 30 May." Names give way where space is short. */
export function openingOf(words: Wording, view: ReminderMailView): string {
  const lead = first(view);
  if (!lead) return askOpening(words, view);
  const { machine, item } = lead;
  const range = dateInShort(words, {
    item,
    today: view.today,
    zone: view.zone,
    meterUnit: machine.meterUnit,
  });
  const room = OPENING - words.say("mail.openingOne", { machine: "", job: "", range }).length;
  const job = shorten(
    item.title,
    Math.max(8, room - Math.min(machine.name.length, Math.floor(room / 2))),
  );
  const name = shorten(machine.name, Math.max(8, room - job.length));
  const opening = words.say("mail.openingOne", { machine: name, job, range });
  const more = allItems(view).length - 1;
  return more === 0 ? opening : `${opening} ${words.say("mail.openingMore", { count: more })}`;
}
