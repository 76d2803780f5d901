import type { ReminderMachineView, ReminderMailView } from "../../application/views.ts";
import { amount, estimate } from "../figures.ts";
import { href, type Markup, markup } from "../markup.ts";
import type { Wording } from "../wording.ts";
import { action, band, button, drum, mailPage, stub } from "./html-parts.ts";
import { jobHtml } from "./job-html.ts";
import { leftOutLines } from "./left-out.ts";
import { STYLE } from "./mail-style.ts";
import { allItems, type Selection } from "./selection.ts";
import { askedOf, openingOf, subjectOf } from "./subject.ts";

/** The mail as HTML: no image, no script, tokens inline, both colour schemes. */
export function reminderHtml(
  words: Wording,
  selection: Selection,
  whole: ReminderMailView,
): string {
  const { view } = selection;
  const leftOut = leftOutLines(words, selection);
  const [machine] = view.machines;
  const alone =
    view.machines.length === 1 && machine && machine.items.length <= 1 && leftOut.length === 0;
  const content = markup`${alone ? oneMachine(words, selection, machine) : manyJobs(words, selection, whole)}
${leftOut.map((line) => markup`<p style="${STYLE.p}">${line}</p>`)}
<div class="quiet rule" style="${STYLE.footer}">
${allItems(whole).length > 0 && markup`<p style="margin:0 0 6px">${words.say("mail.estimate", { today: words.date(view.today, "dayYear") })}</p>`}
<p style="margin:0">${words.say("mail.footer", { account: view.accountName, machines: view.machines.length })}
<a class="link" style="${STYLE.link}" href="${href(view.links.unsubscribePage)}">${words.say("mail.unsubscribe")}</a></p>
</div>`;
  const page = { subject: subjectOf(words, whole), opening: openingOf(words, whole), content };
  return String(mailPage(words, page));
}

function title({ name, group }: ReminderMachineView): string {
  return [name, group].filter(Boolean).join(" · ");
}

/** One machine with one job, or with none: then a reading is all that is asked for. */
function oneMachine(
  words: Wording,
  { view, detailed }: Selection,
  machine: ReminderMachineView,
): Markup {
  const [item] = machine.items;
  const heading = (text: string) => markup`<h1 style="${STYLE.h1}">${text}</h1>`;
  const meter = meterBlock(words, machine, true);
  if (!item) {
    return markup`${stub(title(machine), words.say("mail.stubAsk"))}${doNotRide(words, machine)}
${heading(words.say(askHeading(machine)))}${meter}`;
  }
  const stage = {
    ahead: "mail.stubAhead",
    due: "mail.stubDue",
    overdue: "mail.stubOverdue",
  } as const;
  return markup`${stub(title(machine), words.say(stage[item.stage]))}${doNotRide(words, machine)}
${jobHtml(words, item, {
  machine,
  today: view.today,
  zone: view.zone,
  heading: heading(item.title),
  full: detailed.has(item),
  alone: true,
  aside: meter,
})}`;
}

function manyJobs(words: Wording, { view, detailed }: Selection, whole: ReminderMailView): Markup {
  const count = allItems(whole).length;
  const heading =
    count === 0 ? words.say("mail.askHeading") : words.say("mail.headingMany", { count });
  const stubText = words.say(count === 0 ? "mail.stubAsk" : "mail.stubMany");
  return markup`${stub(view.accountName, stubText)}
<h1 style="${STYLE.h1}">${heading}</h1>
${count > 0 && band(words.say("job.cautions"), [words.say("job.handbook")])}
${view.machines.map(
  (
    machine,
    index,
  ) => markup`<table role="presentation" class="rule" style="${STYLE.stubMachine}"><tr><td style="${STYLE.cellLeft}"><h2 style="${STYLE.h2}">${machine.name}</h2></td><td class="quiet" style="${STYLE.cellRight}">${machine.group}</td></tr></table>
${doNotRide(words, machine)}${meterBlock(words, machine, index === 0)}
${machine.items.map((item) =>
  jobHtml(words, item, {
    machine,
    today: view.today,
    zone: view.zone,
    heading: markup`<h3 style="${STYLE.h3}">${item.title}</h3>`,
    full: detailed.has(item),
    alone: false,
  }),
)}`,
)}`;
}

function doNotRide(
  words: Wording,
  { doNotRide: defects = [] }: ReminderMachineView,
): Markup | null {
  if (defects.length === 0) return null;
  return band(words.say("machine.doNotRide"), [
    words.say("machine.doNotRideText", { defects: defects.join(", ") }),
  ]);
}

function askHeading({
  asksAfterLayUp,
}: ReminderMachineView): "mail.askLayUpHeading" | "mail.askHeading" {
  return asksAfterLayUp ? "mail.askLayUpHeading" : "mail.askHeading";
}

/** Today's meter, what is asked, and where to answer; what is asked first is pressed first. */
function meterBlock(words: Wording, machine: ReminderMachineView, main: boolean): Markup {
  const { meterToday, hoursToday, lastReading, meterUnit } = machine;
  const last = lastReading && {
    value: amount(words, lastReading.value, meterUnit, 1),
    on: words.date(lastReading.on, "dayYear"),
  };
  const line = (text: string) => markup`<p class="quiet" style="${STYLE.small}">${text}</p>`;
  return markup`${
    meterToday &&
    markup`<p style="${STYLE.p}">${words.say("machine.meterToday")} ${drum(meterToday.p50)} ${estimate(words, meterToday, meterUnit)}</p>`
  }${hoursToday && line(words.say("machine.hoursToday", { about: estimate(words, hoursToday, "h") }))}${
    last && line(words.say("machine.lastReading", last))
  }${machine.laidUp && line(words.say("machine.laidUp"))}${
    machine.asks && markup`<p style="${STYLE.p}">${words.say(askedOf(machine))}</p>`
  }<p style="${STYLE.p}">${answers(words, machine, main)}</p>`;
}

function answers(words: Wording, machine: ReminderMachineView, main: boolean): Markup {
  const { links, laidUp, asksAfterLayUp } = machine;
  const post = words.say("mail.postReading");
  if (!laidUp) {
    const start = action(words.say("mail.layUpStart"), links.layUp);
    return markup`${button(post, links.postReading, main)} ${start}`;
  }
  const end = words.say("mail.layUpEnd");
  return asksAfterLayUp
    ? markup`${button(end, links.layUp, main)}${button(post, links.postReading)}`
    : markup`${button(post, links.postReading, main)}${button(end, links.layUp)}`;
}
