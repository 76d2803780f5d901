import type { DigestMailView, Listed } from "../../application/digest-view.ts";
import { amount, shorten } from "../figures.ts";
import { oneLine } from "../one-line.ts";
import { labelled, listed } from "../phrases.ts";
import { oneDate } from "../told-date.ts";
import type { Wording } from "../wording.ts";
import { headerText } from "./headers.ts";

/** A part of the digest below its machines: told lines, of which some lead somewhere. */
export interface DigestSection {
  title: string;
  text?: string;
  lines: readonly { text: string; link?: { label: string; url: string } }[];
  /** "and 3 more"; empty where nothing is left out. */
  more: string;
}

/** "Week of 4 May", "In May 2026". */
export function spanTitle(words: Wording, { pace, span }: DigestMailView): string {
  return pace === "weekly"
    ? words.say("digest.week", { date: words.date(span.from, "day") })
    : words.say("digest.month", { month: words.date(span.from, "month") });
}

/** "Week of 4 May: 3 jobs due, 1 overdue". One line, no control characters. */
export function digestSubject(words: Wording, view: DigestMailView): string {
  return headerText(labelled(words, spanTitle(words, view), jobsInShort(words, view)));
}

/** "3 jobs fall due by 10 May, 1 is overdue." */
export function digestHeading(words: Wording, view: DigestMailView): string {
  const { due, overdue, span, today } = view;
  const to = oneDate(words, span.to, today);
  if (due > 0 && overdue > 0) return words.say("digest.both", { due, overdue, to });
  if (due > 0) return words.say("digest.due", { due, to });
  return overdue > 0
    ? words.say("digest.overdue", { overdue })
    : words.say("digest.nothing", { to });
}

/** What is likely in the span after this one; empty where nothing is. */
export function nextLine(words: Wording, { next, today }: DigestMailView): string {
  const { jobs, machines, to } = next;
  return jobs === 0
    ? ""
    : words.say("digest.next", { jobs, machines, to: oneDate(words, to, today) });
}

/** What is not shown one by one, in true numbers: machines that had no room, and those in the clear. */
export function restLines(words: Wording, view: DigestMailView): string[] {
  const { machines, others, unforeseen, today } = view;
  const lines: string[] = [];
  const left = machines.count - machines.items.length;
  const shown = machines.items.reduce((sum, { jobs }) => sum + jobs.count, 0);
  if (left > 0) {
    const jobs = view.overdue + view.due - shown;
    lines.push(words.say("digest.moreMachines", { machines: left, jobs }));
  }
  if (others.machines > 0 && others.clearUntil !== null) {
    const date = oneDate(words, others.clearUntil, today);
    lines.push(words.say("digest.clearUntil", { machines: others.machines, date }));
  } else if (others.machines > 0) {
    lines.push(words.say("digest.clear", { machines: others.machines }));
  }
  if (unforeseen > 0) lines.push(words.say("digest.unforeseen", { count: unforeseen }));
  return lines;
}

/** Each caution once, with the jobs that it belongs to: a fleet repeats them on every machine. */
export function cautionLines(words: Wording, { machines }: DigestMailView): string[] {
  const jobs = machines.items.flatMap(({ jobs: { items } }) => items);
  const lines = jobs
    .filter(({ cautions = [] }) => cautions.length > 0)
    .map(({ title, cautions = [] }) =>
      labelled(words, oneLine(title), cautions.map(oneLine).join(" ")),
    );
  return [...new Set(lines), ...(jobs.length > 0 ? [words.say("job.handbook")] : [])];
}

/** Held readings, silent machines, work and mail, as far as there is something to say of them. */
export function digestSections(words: Wording, view: DigestMailView): DigestSection[] {
  const sections = [
    heldSection(words, view),
    undeliveredSection(words, view),
    silentSection(words, view),
    workSection(words, view),
  ];
  return sections.filter(({ lines }) => lines.length > 0);
}

function jobsInShort(words: Wording, { due, overdue }: DigestMailView): string {
  if (due > 0 && overdue > 0) return words.say("digest.subjectBoth", { due, overdue });
  if (due > 0) return words.say("digest.subjectDue", { due });
  return overdue > 0
    ? words.say("digest.subjectOverdue", { overdue })
    : words.say("digest.subjectNothing");
}

function heldSection(words: Wording, { held, today }: DigestMailView): DigestSection {
  const lines = held.items.map(({ machine, value, unit, on, likelierValue }) => {
    const told = {
      machine: nameOf(machine),
      value: amount(words, value, unit, 1),
      on: oneDate(words, on, today),
    };
    if (likelierValue === undefined) return { text: words.say("digest.heldLine", told) };
    const likelier = amount(words, likelierValue, unit, 1);
    return { text: words.say("digest.heldLikelier", { ...told, likelier }) };
  });
  const [title, text] = [words.say("digest.held"), words.say("digest.heldText")];
  return { title, text, lines, more: moreOf(words, held) };
}

function silentSection(words: Wording, { silent, today }: DigestMailView): DigestSection {
  const label = words.say("mail.postReading");
  const lines = silent.items.map(({ machine, last, links }) => {
    const name = nameOf(machine);
    const text = last
      ? words.say("digest.silentLine", {
          machine: name,
          value: amount(words, last.value, last.unit),
          on: oneDate(words, last.on, today),
        })
      : words.say("digest.silentNever", { machine: name });
    return { text, link: { label, url: links.postReading } };
  });
  return { title: words.say("digest.silent"), lines, more: moreOf(words, silent) };
}

function workSection(words: Wording, { work, since, today }: DigestMailView): DigestSection {
  const lines = work.items.map(({ machine, titles, on }) => {
    const told = titles.map((title) => shorten(title, LONGEST));
    return {
      text: words.say("digest.workLine", {
        machine: nameOf(machine),
        titles: listed(words, told) || words.say("history.otherWork"),
        on: oneDate(words, on, today),
      }),
    };
  });
  const title = words.say("digest.work", { date: oneDate(words, since, today) });
  return { title, lines, more: moreOf(words, work) };
}

function undeliveredSection(words: Wording, view: DigestMailView): DigestSection {
  const { refused, undelivered, failedDeliveries } = view;
  const told = ({ member, answer }: { member: string; answer: string }) => ({
    member: nameOf(member),
    answer: shorten(answer, LONGEST_ANSWER),
  });
  const lines = [
    ...refused.items.map((one) => words.say("digest.refusedLine", told(one))),
    ...undelivered.items.map((one) => words.say("digest.undeliveredLine", told(one))),
    ...(failedDeliveries > 0
      ? [words.say("digest.failedDeliveries", { count: failedDeliveries })]
      : []),
  ].map((text) => ({ text }));
  const count = refused.count + undelivered.count;
  const items = [...refused.items, ...undelivered.items];
  const more = moreOf(words, { items, count });
  return { title: words.say("digest.undelivered"), lines, more };
}

const LONGEST = 80;
const LONGEST_ANSWER = 300;

function nameOf(text: string): string {
  return shorten(text, LONGEST);
}

function moreOf(words: Wording, { items, count }: Listed<unknown>): string {
  const left = count - items.length;
  return left > 0 ? words.say("chart.moreDue", { count: left }) : "";
}
