import type {
  DigestItemView,
  DigestMachineView,
  DigestMailView,
} from "../../application/digest-view.ts";
import { dateSentence } from "../date-sentence.ts";
import { dueLines } from "../due-lines.ts";
import { href, type Markup, markup } from "../markup.ts";
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
  spanTitle,
} from "./digest-words.ts";
import { band, mailPage, stub } from "./html-parts.ts";
import { STYLE } from "./mail-style.ts";

/** A link in a list, 44 px high: buttons down a whole fleet would be all that is seen. */
const PRESS = `${STYLE.link};display:inline-block;padding:10px 12px 10px 0;line-height:24px`;
/** In a table only this breaks a name without spaces; a cell would rather widen the page. */
const BREAKS = "overflow-wrap:anywhere";
const JOB = "margin:6px 0 2px";

/** The digest as HTML: no image, no script, tokens inline, both colour schemes. */
export function digestHtml(words: Wording, view: DigestMailView): string {
  const next = nextLine(words, view);
  const cautions = cautionLines(words, view);
  const subject = digestSubject(words, view);
  const content = markup`${stub(view.accountName, spanTitle(words, view))}
<h1 style="${STYLE.h1}">${digestHeading(words, view)}</h1>
${next && markup`<p style="${STYLE.p}">${next}</p>`}
${cautions.length > 0 && band(words.say("job.cautions"), cautions)}
${view.machines.items.map((machine) => machineHtml(words, machine, view))}
${restLines(words, view).map((line) => markup`<p style="${STYLE.p}">${line}</p>`)}
${digestSections(words, view).map(sectionHtml)}
${footerHtml(words, view)}`;
  return String(mailPage(words, { subject, opening: `${subject}.`, content }));
}

function machineHtml(words: Wording, machine: DigestMachineView, view: DigestMailView): Markup {
  const { name, group, keeper, doNotRide = [], laidUp, jobs } = machine;
  const more = jobs.count - jobs.items.length;
  const small = (text: string) => markup`<p class="quiet" style="${STYLE.small}">${text}</p>`;
  return markup`${headed(name, group)}
${keeper !== undefined && small(labelled(words, words.say("history.keptBy"), keeper))}${
  doNotRide.length > 0 &&
  band(words.say("machine.doNotRide"), [
    words.say("machine.doNotRideText", { defects: doNotRide.join(", ") }),
  ])
}${laidUp && small(words.say("machine.laidUp"))}${jobs.items.map((item) =>
  jobHtml(words, item, machine, view),
)}${more > 0 && small(words.say("digest.moreJobs", { count: more }))}`;
}

function jobHtml(
  words: Wording,
  item: DigestItemView,
  { meterUnit }: DigestMachineView,
  { today, zone }: DigestMailView,
): Markup {
  const sentence = dateSentence(words, { item, today, zone, meterUnit });
  const { rule } = dueLines(words, item, meterUnit);
  return markup`<h3 style="${STYLE.h3};font-size:17px;margin:12px 0 0">${item.title}</h3>
<p style="${JOB}">${sentence}<br><span class="quiet" style="${STYLE.quiet};font-size:15px">${rule}</span><br>
${press(words.say("mail.logWork"), item.links.logWork)}</p>`;
}

function sectionHtml({ title, text, lines, more }: DigestSection): Markup {
  const row = (content: string | Markup) =>
    markup`<tr><td class="hair" style="${STYLE.td};${BREAKS}">${content}</td></tr>`;
  return markup`${headed(title)}
${text && markup`<p class="quiet" style="${STYLE.small}">${text}</p>`}
<table role="presentation" style="${STYLE.table}"><tbody>${lines.map(({ text: line, link }) =>
    row(link ? markup`${line}<br>${press(link.label, link.url)}` : line),
  )}${more && row(more)}</tbody></table>`;
}

function headed(title: string, aside?: string): Markup {
  return markup`<table role="presentation" class="rule" style="${STYLE.stubMachine}"><tr><td style="${STYLE.cellLeft};${BREAKS}"><h2 style="${STYLE.h2}">${title}</h2></td>${
    aside &&
    markup`<td class="quiet" style="${STYLE.cellRight};white-space:normal;${BREAKS}">${aside}</td>`
  }</tr></table>`;
}

function press(label: string, url: string): Markup {
  return markup`<a class="link" style="${PRESS}" href="${href(url)}">${label}</a>`;
}

function footerHtml(words: Wording, { pace, accountName, today, links }: DigestMailView): Markup {
  const key = pace === "weekly" ? "digest.footerWeekly" : "digest.footerMonthly";
  return markup`<div class="quiet rule" style="${STYLE.footer}">
<p style="margin:0 0 6px">${words.say("mail.estimate", { today: words.date(today, "dayYear") })}</p>
<p style="margin:0">${words.say(key, { account: accountName })}
<a class="link" style="${STYLE.link}" href="${href(links.unsubscribePage)}">${words.say("digest.unsubscribe")}</a></p>
</div>`;
}
