import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

/** A machine laid up in November without an end, and a rider who reads German. */
describe("in spring, after a lay-up whose end nobody told", () => {
  let service: RunningService;
  let rider: Awaited<ReturnType<typeof sandbox>>;
  let vehicleId: string;
  let mail: Json;

  beforeAll(async () => {
    service = await startService();
    rider = await sandbox(service, "2025-09-01T08:00:00Z", { locale: "de" });
    const made = await rider.post("/v1/vehicles", {
      name: "Single 150",
      kind: "motorcycle",
      meterUnit: "km",
      inServiceOn: "2025-06-01",
      declaredPerYear: 6000,
    });
    vehicleId = made.body.id;
    await rider.post(`/v1/vehicles/${vehicleId}/readings`, { value: 1500 });
    await rider.post(`/v1/vehicles/${vehicleId}/lay-ups`, { from: "2025-11-01" });
    await rider.moveTo("2026-03-03T18:00:00Z");
    const { items } = (await rider.get("/v1/messages?limit=1")).body;
    mail = (await rider.get(`/v1/messages/${items[0].id}`)).body;
  });
  afterAll(() => service.stop());

  const pathOf = (label: string): string => {
    const url = new RegExp(`${label}: (\\S+)`).exec(mail.text)?.[1];
    if (url === undefined) throw new Error(`No link "${label}" in:\n${mail.text}`);
    return new URL(url).pathname;
  };

  /** Opens the form behind a link and sends it in. */
  async function fillIn(path: string, fields: Record<string, string>): Promise<string> {
    const form = await (await fetch(service.baseUrl + path)).text();
    const nonce = /name="nonce" value="([^"]+)"/.exec(form)?.[1] ?? "";
    const body = new URLSearchParams({ nonce, ...fields });
    const done = await fetch(service.baseUrl + path, { method: "POST", body });
    expect(done.status).toBe(200);
    return done.text();
  }

  test("the mail asks whether it has ended, and offers that before a reading", () => {
    expect(mail.subject).toBe("Single 150: Ist die Stilllegung zu Ende?");
    expect(mail.headers["Content-Language"]).toBe("de-DE");
    const ends = mail.text.indexOf("Stilllegung beenden: ");
    expect(ends).toBeGreaterThan(0);
    expect(ends).toBeLessThan(mail.text.indexOf("Tachostand melden: "));
  });

  test("its link ends the lay-up", async () => {
    const page = await fillIn(pathOf("Stilllegung beenden"), { to: "2026-03-01" });
    expect(page).toContain("Wieder in Betrieb ab dem 1. März.");
    const { items } = (await rider.get(`/v1/vehicles/${vehicleId}/lay-ups`)).body;
    expect(items).toMatchObject([{ from: "2025-11-01", to: "2026-03-01" }]);
  });

  test("why a reading is held is told in the reader's language, and to programs in English", async () => {
    const page = await fillIn(pathOf("Tachostand melden"), { value: "150", unit: "km" });
    expect(page).toContain(
      "Ein Tacho läuft nie rückwärts: Dieser Stand widerspricht einem anderen.",
    );
    expect(page).not.toContain("A meter never");
    const { items } = (await rider.get(`/v1/vehicles/${vehicleId}/readings`)).body;
    const held = items.find(({ status }: Json) => status === "held");
    expect(held.reasons[0].detail).toMatch(/^A meter never runs backwards/);
  });
});
