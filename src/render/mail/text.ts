import type {
  MailFrameView,
  ReminderItemView,
  ReminderMachineView,
} from "../../application/views.ts";
import { dateSentence } from "../date-sentence.ts";
import { dueLines } from "../due-lines.ts";
import { amount, estimate, leaves, limits } from "../figures.ts";
import { oneLine } from "../one-line.ts";
import { labelled, listed } from "../phrases.ts";
import type { Wording } from "../wording.ts";
import { jobRows } from "./job-rows.ts";
import { leftOutLines } from "./left-out.ts";
import { allItems, type Selection } from "./selection.ts";
import { askedOf, openingOf } from "./subject.ts";

/** The mail as plain text, whole: it stands alone where HTML is not shown. */
export function reminderText(words: Wording, selection: Selection): string {
  const { view, detailed } = selection;
  const blocks = [
    openingOf(words, view),
    words.say("mail.greeting", { name: oneLine(view.member.name) }),
    allItems(view).length > 0 && words.say("job.handbook"),
    ...view.machines.map((machine) => machineText(words, machine, view, detailed)),
    ...leftOutLines(words, selection),
    allItems(view).length > 0 &&
      words.say("mail.estimate", { today: words.date(view.today, "dayYear") }),
    footerText(words, view, view.machines.length),
  ];
  return `${blocks.filter(Boolean).join("\n\n")}\n`;
}

function footerText(words: Wording, frame: MailFrameView, machines: number): string {
  const footer = words.say("mail.footer", { account: oneLine(frame.accountName), machines });
  return `-- \n${footer}\n${labelled(words, words.say("mail.unsubscribe"), frame.links.unsubscribePage)}`;
}

function machineText(
  words: Wording,
  machine: ReminderMachineView,
  frame: MailFrameView,
  detailed: ReadonlySet<ReminderItemView>,
): string {
  const { name, group, doNotRide = [], meterUnit, meterToday, hoursToday, lastReading } = machine;
  const title = [name, group]
    .filter(Boolean)
    .map((part) => oneLine(String(part)))
    .join(" · ");
  const last = lastReading && {
    value: amount(words, lastReading.value, meterUnit, 1),
    on: words.date(lastReading.on, "dayYear"),
  };
  const layUp = words.say(machine.laidUp ? "mail.layUpEnd" : "mail.layUpStart");
  const answers = [
    labelled(words, words.say("mail.postReading"), machine.links.postReading),
    labelled(words, layUp, machine.links.layUp),
  ];
  const lines = [
    `== ${title} ==`,
    doNotRide.length > 0 &&
      words.say("machine.warning", {
        heading: words.say("machine.doNotRide"),
        text: words.say("machine.doNotRideText", { defects: oneLine(doNotRide.join(", ")) }),
      }),
    meterToday &&
      `${labelled(words, words.say("machine.meterToday"), estimate(words, meterToday, meterUnit))}.`,
    hoursToday && words.say("machine.hoursToday", { about: estimate(words, hoursToday, "h") }),
    last && words.say("machine.lastReading", last),
    machine.laidUp && words.say("machine.laidUp"),
    machine.asks && words.say(askedOf(machine)),
    ...(machine.asksAfterLayUp ? answers.reverse() : answers),
  ];
  const jobs = machine.items.map((item) =>
    itemText(words, item, machine, frame, detailed.has(item)),
  );
  return [lines.filter(Boolean).join("\n"), ...jobs].join("\n\n");
}

function itemText(
  words: Wording,
  item: ReminderItemView,
  { meterUnit }: ReminderMachineView,
  { today, zone }: MailFrameView,
  full: boolean,
): string {
  const { rule, more } = dueLines(words, item, meterUnit);
  const lines = [
    `# ${oneLine(item.title)}`,
    dateSentence(words, { item, today, zone, meterUnit }),
    rule,
  ];
  const cautions = (item.cautions ?? []).map(oneLine).join(" ");
  if (cautions) lines.push(labelled(words, words.say("job.cautions"), cautions));
  if (full) lines.push(...more.map(oneLine), ...detailText(words, item));
  lines.push(labelled(words, words.say("mail.logWork"), item.links.logWork));
  lines.push(labelled(words, words.say("mail.defer"), item.links.defer));
  return lines.join("\n");
}

function detailText(words: Wording, item: ReminderItemView): string[] {
  const points = (item.points ?? []).map((point) => {
    const tries = leaves(words, point);
    const leafText = tries && words.say("page.logWork.leaves", { leaves: tries });
    const told = listed(words, [limits(words, point), leafText]);
    return `- ${labelled(words, oneLine(point.name), told)}`;
  });
  const rows = jobRows(words, item).map(({ name, lines }) =>
    labelled(words, name, listed(words, lines.map(oneLine))),
  );
  const steps = (item.steps ?? []).map((step, index) => `${index + 1}. ${oneLine(step)}`);
  const checks = item.closingChecks ?? [];
  if (checks.length > 0)
    steps.push(labelled(words, words.say("job.closing"), listed(words, checks.map(oneLine))));
  return [...points, ...rows, ...steps];
}
