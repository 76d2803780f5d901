import type {
  FindingView,
  MoneyView,
  ServiceHistoryView,
  WorkRecordView,
} from "../application/history-views.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import { cautionBand, doNotRideBand } from "./cautions.ts";
import { amount, limits } from "./figures.ts";
import { conditionText, measurementText } from "./finding-text.ts";
import { type Markup, markup } from "./markup.ts";
import { document, machineTitle, stub } from "./pages/layout.ts";
import { labelled, listed } from "./phrases.ts";
import { type Wording, wordingFor } from "./wording.ts";

/**
 * A machine's service history as a page that prints: the stub heads every sheet, pages are
 * numbered, amended and voided records stand where they stood, with their reasons.
 */
export function renderServiceHistory(view: ServiceHistoryView): string {
  const words = wordingFor(view.locale);
  const { machine, records, printedOn } = view;
  const title = words.say("history.title");
  const facts: Array<[string, string]> = [
    [words.say("history.make"), [machine.make, machine.model].filter(Boolean).join(" ")],
    [words.say("history.modelYear"), String(machine.modelYear ?? "")],
    [words.say("history.registration"), machine.registration ?? ""],
    [words.say("history.frameNumber"), machine.frameNumber ?? ""],
    [
      words.say("history.inService"),
      machine.inServiceOn === undefined ? "" : words.date(machine.inServiceOn, "dayYear"),
    ],
    [words.say("history.keptBy"), view.accountName],
  ];
  const on = words.date(printedOn, "dayYear");
  // A table head is what every browser repeats on each sheet that a table runs over.
  const content = markup`<table role="presentation" class="sheet"><thead><tr><td>${stub(machineTitle(machine), title)}</td></tr></thead><tbody><tr><td>
${doNotRideBand(words, machine)}<h1>${title}</h1>
<p>${words.say("history.printedOn", { on, count: records.length })} <span class="quiet">${words.say("history.unseen")}</span></p>
${factTable(facts)}
${records.map((record) => recordSection(words, record, machine.meterUnit))}
</td></tr></tbody></table>`;
  return document(words, labelled(words, title, machine.name), content);
}

function recordSection(words: Wording, record: WorkRecordView, unit: DistanceUnit): Markup {
  const { status, doneOn, reading, cost, notes } = record;
  const heading =
    record.titles.length > 0 ? record.titles.join(", ") : words.say("history.otherWork");
  const facts: Array<[string, string]> = [
    [words.say("history.reading"), reading === undefined ? "" : amount(words, reading, unit, 1)],
    [words.say("history.by"), byText(words, record.by)],
    [
      words.say("history.window"),
      record.window === null ? "" : words.say(`history.${record.window}`),
    ],
    [words.say("job.parts"), listed(words, record.parts.map(partText))],
    [
      words.say("job.time"),
      record.minutes === undefined ? "" : words.say("figure.minutes", { minutes: record.minutes }),
    ],
    [words.say("history.cost"), cost === undefined ? "" : money(words, cost)],
    [words.say("history.notes"), notes ?? ""],
  ];
  const title = labelled(words, words.date(doneOn, "dayYear"), heading);
  return markup`<section class="record ${status}"><h2>${status === "void" ? markup`<del>${title}</del>` : title}</h2>
${changes(words, record, unit)}${(record.cautions ?? []).length > 0 && cautionBand(words, record)}
${factTable(facts)}${findingTable(words, record.findings)}</section>`;
}

/** "12.50 EUR", with as many decimals as it was given. */
function money(words: Wording, { amount: text, currency }: MoneyView): string {
  const decimals = /^\d+(?:\.(\d{1,4}))?$/.exec(text);
  const value = decimals ? words.measure(Number(text), decimals[1]?.length ?? 0) : text;
  return words.say("unit.other", { value, unit: currency });
}

function byText(words: Wording, by: WorkRecordView["by"]): string {
  const name = by.name ?? words.say("history.left");
  return by.trade === undefined ? name : words.say(`history.${by.trade}`, { name });
}

export function partText({ name, number, quantity }: WorkRecordView["parts"][number]): string {
  return [name, number, quantity && `× ${quantity}`].filter(Boolean).join(", ");
}

/** Why a record was amended or voided, and what it said before. */
function changes(
  words: Wording,
  { status, reason, revisions }: WorkRecordView,
  unit: DistanceUnit,
): Markup | null {
  if (status === "standing") return null;
  if (!revisions || revisions.length === 0) {
    const told = { what: words.say(`history.${status}`), reason: reason ?? "" };
    return markup`<div class="changed"><p>${words.say("history.changed", told)}</p></div>`;
  }
  return markup`${revisions.map((revision) => {
    const what = words.say(`history.${revision.what}`);
    const on = words.date(revision.on, "dayYear");
    const before = beforeText(words, revision.before, unit);
    return markup`<div class="changed"><p><strong>${words.say("history.changedOn", { what, on, reason: revision.reason })}</strong></p>${
      before && markup`<p class="quiet">${words.say("history.before", { before })}</p>`
    }</div>`;
  })}`;
}

function beforeText(
  words: Wording,
  { doneOn, reading, notes }: NonNullable<WorkRecordView["revisions"]>[number]["before"] = {},
  unit: DistanceUnit,
): string {
  return listed(words, [
    doneOn !== undefined && words.date(doneOn, "dayYear"),
    reading !== undefined && amount(words, reading, unit, 1),
    notes,
  ]);
}

function factTable(facts: ReadonlyArray<[string, string]>): Markup | null {
  const rows = facts.filter(([, value]) => value !== "");
  if (rows.length === 0) return null;
  return markup`<table class="facts"><tbody>${rows.map(
    ([name, value]) => markup`<tr><th scope="row" class="quiet">${name}</th><td>${value}</td></tr>`,
  )}</tbody></table>`;
}

function findingTable(words: Wording, findings: readonly FindingView[]): Markup | null {
  if (findings.length === 0) return null;
  const adjusted = findings.some(({ asLeft }) => asLeft !== undefined);
  const head = (key: "point" | "asFound" | "asLeft" | "verdict") =>
    markup`<th scope="col">${words.say(`history.${key}`)}</th>`;
  return markup`<table class="findings"><thead><tr>${head("point")}${head("asFound")}${adjusted && head("asLeft")}${head("verdict")}</tr></thead><tbody>${findings.map(
    (finding) => {
      const { point, asFound, asLeft, verdict, verdictLeft, condition, note } = finding;
      const state = condition && conditionText(words, condition);
      const aside = listed(words, [limits(words, point), state, note]);
      const told = [verdict, verdictLeft].flatMap((one) =>
        one ? words.say(`verdict.${one}`) : [],
      );
      return markup`<tr><th scope="row">${point.name}<br><span class="quiet small">${aside}</span></th><td>${measurementText(words, asFound, point)}</td>${
        adjusted && markup`<td>${asLeft && measurementText(words, asLeft, point)}</td>`
      }<td>${told.join(" → ")}</td></tr>`;
    },
  )}</tbody></table>`;
}
