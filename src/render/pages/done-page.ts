import type { DonePageView, NextDueView } from "../../application/page-views.ts";
import type { MachineView } from "../../application/views.ts";
import type { HoldReason } from "../../domain/meter/hold-reason.ts";
import type { DistanceUnit } from "../../domain/units/distance.ts";
import { cautionBand } from "../cautions.ts";
import { likelySentence } from "../date-sentence.ts";
import { amount, digitsOf, limits } from "../figures.ts";
import { measurementText } from "../finding-text.ts";
import { href, type Markup, markup } from "../markup.ts";
import { listed } from "../phrases.ts";
import { oneDate } from "../told-date.ts";
import { type Wording, wordingFor } from "../wording.ts";
import { page } from "./layout.ts";

/** What was done, what came of it, and what comes next. */
export function renderDonePage(view: DonePageView): string {
  const words = wordingFor(view.locale);
  return page(words, {
    ...view,
    stub: words.say("page.done.stub"),
    title: words.say(`page.done.${view.done.code}`),
    content: markup`${told(words, view)}${
      view.links?.postReading &&
      markup`<p><a class="button" href="${href(view.links.postReading)}">${words.say(view.done.code === "readingHeld" ? "page.done.again" : "mail.postReading")}</a></p>`
    }`,
  });
}

function told(words: Wording, view: DonePageView): Markup {
  const { done, machine, today } = view;
  switch (done.code) {
    case "readingAccepted": {
      const value = amount(words, done.value, done.unit, 1);
      return markup`<p>${words.say("page.done.readingAcceptedText", { value })}</p>${next(words, done.next, machine, today)}`;
    }
    case "readingHeld":
      return held(words, done);
    case "workLogged":
      return markup`<p>${words.say("page.done.workLoggedText", { job: done.title })} ${
        done.window && words.say(`page.done.${done.window}`)
      }</p>${findings(words, done.findings)}${next(words, done.next, machine, today)}`;
    case "deferred":
      return markup`<p>${deferred(words, done, machine, today)}</p>`;
    case "layUpStarted":
      return markup`<p>${words.say("page.done.layUpStartedText", {
        from: oneDate(words, done.from, today),
        to: done.to === undefined ? "" : oneDate(words, done.to, today),
        known: done.to === undefined ? "no" : "yes",
      })}</p>`;
    case "layUpEnded":
      return markup`<p>${words.say("page.done.layUpEndedText", { to: oneDate(words, done.to, today) })}</p>`;
    case "unsubscribed":
    case "addressConfirmed":
      return markup`<p>${words.say(`page.done.${done.code}Text`, { email: done.email })}</p>`;
    case "linkMailed":
      return markup`<p>${words.say("page.done.linkMailedText")}</p>`;
  }
}

type Done<C extends DonePageView["done"]["code"]> = Extract<DonePageView["done"], { code: C }>;

function held(words: Wording, done: Done<"readingHeld">): Markup {
  const { value, unit, reasons } = done;
  const told = amount(words, value, unit, 1);
  return markup`<p>${words.say("page.done.readingHeldText", { value: told })}</p>${reasons.map(
    (reason) => markup`<p>${words.say(`held.${reason.code}`)} ${likelier(words, reason, unit)}</p>`,
  )}`;
}

function likelier(
  words: Wording,
  { code, likelierValue, likelierUnit }: HoldReason,
  unit: DistanceUnit,
): Markup | null {
  if (likelierValue === undefined) return null;
  const key = code === "earlierIsTheSlip" ? "page.done.likelierThere" : "page.done.likelier";
  const value = amount(words, likelierValue, likelierUnit ?? unit, 1);
  return markup`<strong>${words.say(key, { value })}</strong>`;
}

function deferred(
  words: Wording,
  { title: job, untilOn, untilDistance }: Done<"deferred">,
  machine: MachineView | undefined,
  today: string,
): string {
  if (untilOn !== undefined) {
    return words.say("page.done.deferredOn", { job, on: oneDate(words, untilOn, today) });
  }
  const distance = amount(words, untilDistance ?? 0, machine?.meterUnit ?? "km", 1);
  return words.say("page.done.deferredDistance", { job, distance });
}

function findings(words: Wording, list: Done<"workLogged">["findings"]): Markup | null {
  if (list.length === 0) return null;
  const small = (text: string) => markup`<br><span class="quiet small">${text}</span>`;
  const rows = list.map((finding) => {
    const { point } = finding;
    const [verdict, measured] = judgement(words, finding);
    return markup`<tr><th scope="row">${point.name}${small(limits(words, point))}</th><td>${verdict}${
      measured !== verdict && small(measured)
    }</td></tr>`;
  });
  return markup`<table class="findings"><thead><tr><th scope="col">${words.say("history.point")}</th><th scope="col">${words.say("history.verdict")}</th></tr></thead><tbody>${rows}</tbody></table>`;
}

/** The verdict and what it rests on, as found and, after an adjustment, as left. */
function judgement(
  words: Wording,
  finding: Done<"workLogged">["findings"][number],
): [verdict: string, measured: string] {
  const { point, asFound, verdict, asLeft, verdictLeft, tryLeaf } = finding;
  const verdicts = [verdict, verdictLeft].flatMap((one) => one ?? []);
  const told = verdicts.map((one) => words.say(`verdict.${one}`)).join(" → ");
  const measured = [asFound, asLeft].flatMap((one) => one ?? []);
  const leaf =
    tryLeaf !== undefined &&
    words.say("page.done.tryLeaf", {
      leaf: words.measure(tryLeaf, Math.max(2, digitsOf(tryLeaf))),
    });
  return [
    listed(words, [told, leaf]),
    measured.map((one) => measurementText(words, one, point)).join(" → "),
  ];
}

function next(
  words: Wording,
  list: readonly NextDueView[],
  machine: MachineView | undefined,
  today: string,
): Markup | null {
  if (list.length === 0) return null;
  return markup`<h2>${words.say("page.done.next")}</h2>${list.map((one) => {
    const at =
      one.distance === undefined ? "" : amount(words, one.distance, machine?.meterUnit ?? "km");
    const sentence = one.reached
      ? words.say("date.reached")
      : likelySentence(words, one.likely, today);
    return markup`<h3>${one.title}${at && `, ${at}`}</h3><p>${sentence}</p>${
      (one.cautions ?? []).length > 0 && cautionBand(words, one)
    }`;
  })}`;
}
