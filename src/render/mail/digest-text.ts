import type { DigestMachineView, DigestMailView } from "../../application/digest-view.ts";
import { dateSentence } from "../date-sentence.ts";
import { dueLines } from "../due-lines.ts";
import { oneLine } from "../one-line.ts";
import { labelled } from "../phrases.ts";
import type { Wording } from "../wording.ts";
import {
  cautionLines,
  type DigestSection,
  digestHeading,
  digestSections,
  digestSubject,
  nextLine,
  restLines,
} from "./digest-words.ts";

/** The digest as plain text, whole: it stands alone where HTML is not shown. */
export function digestText(words: Wording, view: DigestMailView): string {
  const cautions = cautionLines(words, view);
  const blocks = [
    `${digestSubject(words, view)}.`,
    words.say("mail.greeting", { name: oneLine(view.member.name) }),
    [digestHeading(words, view), nextLine(words, view)].filter(Boolean).join(" "),
    cautions.length > 0 && [`${words.say("job.cautions")}`, ...cautions.map(dashed)].join("\n"),
    ...view.machines.items.map((machine) => machineText(words, machine, view)),
    restLines(words, view).join("\n"),
    ...digestSections(words, view).map((section) => sectionText(words, section)),
    words.say("mail.estimate", { today: words.date(view.today, "dayYear") }),
    footerText(words, view),
  ];
  return `${blocks.filter(Boolean).join("\n\n")}\n`;
}

function machineText(
  words: Wording,
  machine: DigestMachineView,
  { today, zone }: DigestMailView,
): string {
  const { name, group, keeper, meterUnit, doNotRide = [], laidUp, jobs } = machine;
  const title = [name, group]
    .filter(Boolean)
    .map((part) => oneLine(String(part)))
    .join(" · ");
  const lines = [
    `== ${title} ==`,
    keeper !== undefined && labelled(words, words.say("history.keptBy"), oneLine(keeper)),
    doNotRide.length > 0 &&
      words.say("machine.warning", {
        heading: words.say("machine.doNotRide"),
        text: words.say("machine.doNotRideText", { defects: oneLine(doNotRide.join(", ")) }),
      }),
    laidUp && words.say("machine.laidUp"),
  ];
  const told = jobs.items.map((item) =>
    [
      `# ${oneLine(item.title)}`,
      dateSentence(words, { item, today, zone, meterUnit }),
      dueLines(words, item, meterUnit).rule,
      labelled(words, words.say("mail.logWork"), item.links.logWork),
    ].join("\n"),
  );
  const more = jobs.count - jobs.items.length;
  const rest = more > 0 ? [words.say("digest.moreJobs", { count: more })] : [];
  return [lines.filter(Boolean).join("\n"), ...told, ...rest].join("\n\n");
}

function sectionText(words: Wording, { title, text, lines, more }: DigestSection): string {
  const told = lines.flatMap((line) => [
    dashed(line.text),
    ...(line.link ? [`  ${labelled(words, line.link.label, line.link.url)}`] : []),
  ]);
  return [`== ${title} ==`, text, ...told, more && dashed(more)].filter(Boolean).join("\n");
}

function footerText(words: Wording, { pace, accountName, links }: DigestMailView): string {
  const footer = words.say(pace === "weekly" ? "digest.footerWeekly" : "digest.footerMonthly", {
    account: oneLine(accountName),
  });
  return `-- \n${footer}\n${labelled(words, words.say("digest.unsubscribe"), links.unsubscribePage)}`;
}

function dashed(line: string): string {
  return `- ${line}`;
}
