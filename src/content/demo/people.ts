import type { MemberInput } from "../../application/people.ts";

export const DEMO_ACCOUNT = "Quillhaven riders' co-operative (invented)";

const zone = "Europe/Lisbon";

const reminders = {
  leadDays: 21,
  leadDistance: null,
  sendingHour: 8,
  quietDays: [],
  askForReadings: true,
  digest: "none",
} as const satisfies MemberInput["reminders"];

function person(name: string, email: string, role: MemberInput["role"]): MemberInput {
  return {
    ...{ name, email, role, locale: "en", timeZone: zone, unit: "km", externalId: null },
    reminders: { ...reminders, quietDays: [] },
  };
}

/** Invented people at addresses of a domain that is kept for examples (RFC 2606). */
export const PEOPLE: [MemberInput, MemberInput, MemberInput, MemberInput] = [
  person("Robin, who keeps the books", "robin@example.org", "owner"),
  person("Kim of the harbour riders", "kim@example.org", "manager"),
  person("Sasha of the hill road", "sasha@example.org", "rider"),
  person("Toni, workshop lead", "toni@example.org", "mechanic"),
];
