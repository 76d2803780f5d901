import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { addDays, type PlainDate } from "../../src/domain/calendar/plain-date.ts";
import { likelyInDrawing, likelyInShort, likelySentence } from "../../src/render/date-sentence.ts";
import { openingOf, subjectOf } from "../../src/render/mail/subject.ts";
import { type Fineness, toldRange } from "../../src/render/told-range.ts";
import { wordingFor } from "../../src/render/wording.ts";
import { machine150, oneJob, valveClearance } from "./samples.ts";

const TODAY = "2026-04-12";
const ZONE = "Europe/Dublin";

/** Ranges of each kind: in one month, across months, across years, in months, in seasons, open. */
const RANGES = {
  inOneMonth: ["2026-05-12", "2026-05-30", "2026-05-20"],
  fromTheFirst: ["2026-05-01", "2026-06-15", "2026-06-01"],
  acrossYears: ["2026-12-20", "2027-01-15", "2027-01-02"],
  inMonths: ["2026-05-03", "2026-09-10", "2026-08-20"],
  acrossYearsInMonths: ["2026-09-03", "2027-02-10", "2026-11-20"],
  inSeasons: ["2026-12-20", "2028-05-17", "2027-06-09"],
  begun: ["2026-04-01", "2026-09-10", "2026-06-20"],
  begunInDays: ["2026-04-01", "2026-04-30", "2026-04-10"],
  fromAutumn: ["2026-10-03", null, null],
  fromSpring: ["2027-04-20", "2032-02-19", "2029-06-06"],
  fromADay: ["2026-04-29", null, null],
  certain: ["2026-05-01", "2026-05-01", "2026-05-01"],
  cannotTell: ["2026-04-01", null, "2026-05-20"],
  far: [null, null, null],
} as const;

const SENTENCES: Record<string, Record<keyof typeof RANGES, string>> = {
  de: {
    inOneMonth: "Zwischen dem 12. und dem 30. Mai, am ehesten am 20. Mai.",
    fromTheFirst: "Zwischen dem 1. Mai und dem 15. Juni, am ehesten um den 1. Juni.",
    acrossYears: "Zwischen dem 20. Dezember 2026 und dem 15. Januar 2027, am ehesten am 2. Januar.",
    inMonths: "Zwischen Mai und September 2026, am ehesten im August 2026.",
    acrossYearsInMonths: "Zwischen September 2026 und Februar 2027, am ehesten im November 2026.",
    inSeasons: "Zwischen Winter 2026/27 und Frühjahr 2028, am ehesten im Sommer 2027.",
    begun:
      "Vielleicht schon erreicht, am ehesten im Juni 2026, sehr wahrscheinlich bis Ende September 2026.",
    begunInDays: "Vermutlich schon erreicht, sehr wahrscheinlich bis zum 30. April.",
    fromAutumn: "Nicht vor dem Herbst; wie viel später, lässt sich nicht sagen.",
    fromSpring: "Nicht vor dem Frühjahr 2027, vielleicht erst 2032.",
    fromADay: "Nicht vor dem 29. April; wie viel später, lässt sich nicht sagen.",
    certain: "Am 1. Mai.",
    cannotTell:
      "Das lässt sich nicht sagen: Bitte melden Sie den Tachostand. Mit etwa 50\u00a0% Wahrscheinlichkeit ist es bis zum 20. Mai so weit.",
    far: "In den nächsten rund zehn Jahren nicht, so wie das Fahrzeug derzeit genutzt wird.",
  },
  es: {
    inOneMonth: "Entre el 12 y el 30 de mayo; lo más probable, el 20 de mayo.",
    fromTheFirst: "Entre el 1 de mayo y el 15 de junio; lo más probable, hacia el 1 de junio.",
    acrossYears:
      "Entre el 20 de diciembre de 2026 y el 15 de enero de 2027; lo más probable, el 2 de enero.",
    inMonths: "Entre mayo y septiembre de 2026; lo más probable, en agosto de 2026.",
    acrossYearsInMonths:
      "Entre septiembre de 2026 y febrero de 2027; lo más probable, en noviembre de 2026.",
    inSeasons:
      "Entre el invierno de 2026-27 y la primavera de 2028; lo más probable, en el verano de 2027.",
    begun:
      "Quizá ya toque; lo más probable, en junio de 2026; casi seguro, para finales de septiembre de 2026.",
    begunInDays: "Probablemente ya toca; casi seguro, para el 30 de abril.",
    fromAutumn: "No antes del otoño; cuánto más tarde, no se puede saber.",
    fromSpring: "No antes de la primavera de 2027, quizá no hasta 2032.",
    fromADay: "No antes del 29 de abril; cuánto más tarde, no se puede saber.",
    certain: "El 1 de mayo.",
    cannotTell:
      "No se puede saber: envíe una lectura, por favor. Hay cerca de un 50\u00a0% de probabilidad de que toque para el 20 de mayo.",
    far: "No antes de unos diez años, con el uso actual del vehículo.",
  },
  fr: {
    inOneMonth: "Entre le 12 et le 30 mai, vraisemblablement le 20 mai.",
    fromTheFirst: "Entre le 1er mai et le 15 juin, vraisemblablement vers le 1er juin.",
    acrossYears: "Entre le 20 décembre 2026 et le 15 janvier 2027, vraisemblablement le 2 janvier.",
    inMonths: "Entre mai et septembre 2026, vraisemblablement en août 2026.",
    acrossYearsInMonths:
      "Entre septembre 2026 et février 2027, vraisemblablement en novembre 2026.",
    inSeasons: "Entre l’hiver 2026-27 et le printemps 2028, vraisemblablement pendant l’été 2027.",
    begun:
      "Échéance peut-être déjà atteinte, vraisemblablement en juin 2026, très probablement d’ici fin septembre 2026.",
    begunInDays: "Échéance sans doute déjà atteinte, très probablement d’ici au 30 avril.",
    fromAutumn: "Pas avant l’automne\u202f; impossible de dire combien de temps après.",
    fromSpring: "Pas avant le printemps 2027, peut-être seulement en 2032.",
    fromADay: "Pas avant le 29 avril\u202f; impossible de dire combien de temps après.",
    certain: "Le 1er mai.",
    cannotTell:
      "Impossible à dire\u202f: merci d’envoyer un relevé. Il y a environ une chance sur deux que ce soit d’ici au 20 mai.",
    far: "Pas avant une dizaine d’années, au rythme d’utilisation actuel.",
  },
};

const told = ([from, to, most]: (typeof RANGES)[keyof typeof RANGES]) => ({ from, to, most });

describe.each(Object.entries(SENTENCES))("a range of dates in %s", (language, sentences) => {
  test.each(Object.entries(sentences))("%s", (kind, sentence) => {
    const range = told(RANGES[kind as keyof typeof RANGES]);
    expect(likelySentence(wordingFor(language), range, TODAY, ZONE)).toBe(sentence);
  });
});

test("a subject says the same in few words", () => {
  const inShort = (language: string, kind: keyof typeof RANGES) =>
    likelyInShort(wordingFor(language), told(RANGES[kind]), TODAY, ZONE);
  expect(inShort("de", "inOneMonth")).toBe("zwischen dem 12. und dem 30. Mai");
  expect(inShort("es", "fromSpring")).toBe("no antes de la primavera de 2027");
  expect(inShort("fr", "begun")).toBe("peut-être déjà, très probablement d’ici fin septembre 2026");
});

test("a region keeps its own habits", () => {
  const sentence = (locale: string, kind: keyof typeof RANGES) =>
    likelySentence(wordingFor(locale), told(RANGES[kind]), TODAY, ZONE);
  expect(sentence("de-AT", "acrossYears")).toContain("dem 15. Jänner 2027");
  expect(sentence("fr-CA", "fromTheFirst")).toBe(sentence("fr", "fromTheFirst"));
  expect(sentence("es-MX", "inSeasons")).toBe(sentence("es", "inSeasons"));
  expect(wordingFor("es-MX").number(12345.5, 1)).toBe("12,345.5");
  expect(wordingFor("de-AT").locale).toBe("de-AT");
});

test("a region whose data join dates by words has both dates written out", () => {
  const words = wordingFor("es-AR");
  expect(words.ends("2026-05-03", "2026-09-10", "month")).toEqual([
    "mayo de 2026",
    "septiembre de 2026",
  ]);
  expect(words.span("2026-05-12", "2026-05-30", "short")).toBe("12 may – 30 may");
});

test("both ends are taken from a range as the language writes it", () => {
  const ends = (locale: string) => wordingFor(locale).ends("2026-05-12", "2026-05-30", "dayYear");
  expect(ends("de")).toEqual(["12.", "30. Mai 2026"]);
  expect(ends("es")).toEqual(["12", "30 de mayo de 2026"]);
  expect(ends("fr")).toEqual(["12", "30 mai 2026"]);
  expect(ends("en-US")).toEqual(["May 12", "30, 2026"]);
});

test("Spanish says u before eight and eleven", () => {
  const words = wordingFor("es");
  expect(words.either("1000 km", "8 meses")).toBe("1000 km u 8 meses");
  expect(words.either("1000 km", "3 meses")).toBe("1000 km o 3 meses");
});

const LOCALES = ["de", "de-AT", "de-CH", "es", "es-MX", "es-AR", "fr", "fr-CA", "en", "en-US"];

const step = fc.oneof(
  fc.integer({ min: 0, max: 20 }),
  fc.integer({ min: 0, max: 120 }),
  fc.integer({ min: 0, max: 1200 }),
  fc.constant(null),
);
const cases = fc.record({
  locale: fc.constantFrom(...LOCALES),
  today: fc.integer({ min: 0, max: 3000 }).map((days) => addDays("2026-01-01", days)),
  start: fc.oneof(fc.integer({ min: -30, max: 400 }), fc.integer({ min: 0, max: 3650 })),
  steps: fc.tuple(step, step),
  zone: fc.constantFrom("Europe/Dublin", "Australia/Sydney", "Asia/Singapore"),
});

function likelyOf(today: PlainDate, start: number, [first, second]: (number | null)[]) {
  const from = addDays(today, start);
  const most = first == null ? null : addDays(from, first);
  const to = most === null || second == null ? null : addDays(most, second);
  return { from, most, to };
}

/** What a text must name of a date, by nothing but the language's own month, day and year. */
function namesOf(locale: string, date: PlainDate, fineness: Fineness): string[] {
  const at = new Date(`${date}T00:00:00Z`);
  const month = new Intl.DateTimeFormat(locale, { month: "long", timeZone: "UTC" }).format(at);
  if (fineness === "month") return [month];
  const day = Number(date.slice(8));
  return [month, locale.startsWith("fr") && day === 1 ? "1er" : String(day)];
}

describe("in every language", () => {
  property.prop([cases], { numRuns: 4000 })(
    "a range is told whole: nothing missing, nothing doubled",
    ({ locale, today, start, steps, zone }) => {
      const words = wordingFor(locale);
      const likely = likelyOf(today, start, steps);
      const sentence = likelySentence(words, likely, today, zone);
      const texts = [
        sentence,
        likelyInShort(words, likely, today, zone),
        likelyInDrawing(words, likely, today),
      ];
      for (const text of texts) {
        expect(text).not.toMatch(/undefined|null|NaN|Invalid|[{}']|\s{2}|^\s|\s$|\s[,.]|[,;]\./u);
        expect(text).not.toMatch(/\b(?:de el|a el|de le|à le|zu dem|in dem|an dem)\b/);
        if (locale.startsWith("fr")) expect(text).not.toMatch(/\b(?:de|le|que) [aeéiou]/);
      }
      expect(sentence).toMatch(/^\p{Lu}.*\.$/u);
      expect(sentence.length).toBeLessThan(150);
    },
  );

  property.prop([cases], { numRuns: 3000 })(
    "both ends of a range stand in its sentence",
    ({ locale, today, start, steps }) => {
      const likely = likelyOf(today, start, steps);
      const range = toldRange(likely, today, null);
      if (range.kind !== "between") return;
      const sentence = likelySentence(wordingFor(locale), likely, today);
      for (const { date, fineness } of [range.from, range.to]) {
        for (const name of namesOf(locale, date, fineness)) expect(sentence).toContain(name);
        if (!date.startsWith(today.slice(0, 4))) expect(sentence).toContain(date.slice(0, 4));
      }
    },
  );

  property.prop([cases])(
    "machine, job and range stand in the first 90 characters of a mail",
    ({ locale, today, start, steps, zone }) => {
      const words = wordingFor(locale);
      const likely = likelyOf(today, start, steps);
      const long = "A long name of a job or machine that goes on and on and on and on and on";
      const item = { ...valveClearance, title: long, likely };
      const machines = [{ ...machine150, name: long, items: [item] }];
      const view = { ...oneJob, today, zone, machines };
      const range = likelyInShort(words, likely, today, zone);
      expect(openingOf(words, view).slice(0, 90)).toContain(`, ${range}.`);
      expect(subjectOf(words, view).endsWith(range)).toBe(true);
    },
  );
});
