import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

/** What a rider does from the mail alone: pages without script, forms that count once. */
describe("the links in a mail", () => {
  let service: RunningService;
  let rider: Awaited<ReturnType<typeof sandbox>>;
  let vehicleId: string;
  let links: Record<"post" | "log" | "defer" | "layUp" | "leave", string>;

  beforeAll(async () => {
    service = await startService();
    rider = await sandbox(service, "2026-04-01T08:00:00Z");
    const vehicle = await rider.post("/v1/vehicles", {
      name: "Single 150",
      kind: "motorcycle",
      meterUnit: "km",
      inServiceOn: "2026-01-01",
      declaredPerYear: 6000,
    });
    vehicleId = vehicle.body.id;
    await rider.post(`/v1/vehicles/${vehicleId}/tasks`, {
      title: "Chain <slack>",
      every: { distance: 1000 },
      lastWork: "never",
      points: [
        { name: "Slack", quantity: "length", unit: "mm", lower: 20, upper: 30, method: "value" },
      ],
    });
    await rider.post(`/v1/vehicles/${vehicleId}/readings`, { value: 850 });
    await rider.moveTo("2026-04-10T18:00:00Z");
    const [ahead] = (await rider.get("/v1/reminders?stage=ahead&status=sent")).body.items;
    const { text } = (await rider.get(`/v1/messages/${ahead.messageId}`)).body;
    links = {
      post: linkBehind(text, "Post a reading"),
      log: linkBehind(text, "Log the work"),
      defer: linkBehind(text, "Defer"),
      layUp: linkBehind(text, "Start a lay-up"),
      leave: linkBehind(text, "Stop these emails"),
    };
  });
  afterAll(() => service.stop());

  function linkBehind(text: string, words: string): string {
    const url = new RegExp(`${words}: (\\S+)`).exec(text)?.[1];
    if (url === undefined) throw new Error(`No link "${words}" in:\n${text}`);
    return new URL(url).pathname;
  }

  const show = (path: string) => fetch(service.baseUrl + path);
  const send = (path: string, fields: Record<string, string>) =>
    fetch(service.baseUrl + path, {
      method: "POST",
      headers: { "content-type": "application/x-www-form-urlencoded" },
      body: new URLSearchParams(fields).toString(),
    });
  const nonceIn = (html: string): string => {
    const nonce = /name="nonce" value="([^"]+)"/.exec(html)?.[1];
    if (nonce === undefined) throw new Error("The page has no nonce.");
    return nonce;
  };
  const readings = async (): Promise<Json[]> =>
    (await rider.get(`/v1/vehicles/${vehicleId}/readings`)).body.items;

  test("a page shows, changes nothing, runs no script and is not kept", async () => {
    const before = (await readings()).length;
    const page = await show(links.post);
    expect(page.status).toBe(200);
    expect(page.headers.get("content-type")).toContain("text/html");
    expect(page.headers.get("content-security-policy")).toContain("default-src 'none'");
    expect(page.headers.get("cache-control")).toContain("no-store");
    const html = await page.text();
    expect(html).not.toContain("<script");
    expect(html).toContain("Single 150");
    expect((await readings()).length).toBe(before);
  });

  test("a reading with a fault comes back with what was typed; put right, it counts once", async () => {
    const nonce = nonceIn(await (await show(links.post)).text());
    const wrong = await send(links.post, { nonce, value: "nine hundred", unit: "km" });
    expect(wrong.status).toBe(422);
    expect(await wrong.text()).toContain("nine hundred");
    // Nine thousand and fifty to one reader, a little over nine to another.
    for (const value of ["9.050", "9,050"]) {
      expect((await send(links.post, { nonce, value, unit: "km" })).status).toBe(422);
    }
    const right = await send(links.post, { nonce, value: "905", unit: "km" });
    expect(right.status).toBe(200);
    const again = await send(links.post, { nonce, value: "905", unit: "km" });
    expect(again.status).toBe(409);
    const posted = (await readings()).filter(({ value }) => value === 905);
    expect(posted).toHaveLength(1);
    expect(posted[0].source).toBe("link");
  });

  test("a lay-up is started from the mail and ended by the same link, each form once", async () => {
    const at = `/v1/vehicles/${vehicleId}/lay-ups`;
    const layUps = async () => (await rider.get(at)).body.items;
    const forget = async () => {
      const [{ id }] = await layUps();
      const etag = (await rider.get(`${at}/${id}`)).headers.get("etag") ?? "";
      expect((await rider.remove(`${at}/${id}`, etag)).status).toBe(204);
    };
    const shown = await (await show(links.layUp)).text();
    expect(shown).toContain('name="reason"');
    expect(await layUps()).toEqual([]);
    const nonce = nonceIn(shown);
    const wrong = await send(links.layUp, { nonce, from: "2026-04-05", to: "2026-04-04" });
    expect(wrong.status).toBe(422);
    expect(await wrong.text()).toContain('value="2026-04-04"');
    const begun = { nonce, from: "2026-04-05", to: "", reason: "Gearbox" };
    expect((await send(links.layUp, begun)).status).toBe(200);
    expect((await send(links.layUp, begun)).status).toBe(409);
    expect(await layUps()).toMatchObject([{ from: "2026-04-05", to: null, reason: "Gearbox" }]);
    const running = await (await show(links.layUp)).text();
    expect(running).toContain("Gearbox");
    expect(running).not.toContain('name="reason"');
    const ended = { nonce: nonceIn(running), to: "2026-04-10" };
    const done = await send(links.layUp, ended);
    expect(done.status).toBe(200);
    const [, toPost = ""] = /href="([^"]+)">Post a reading</.exec(await done.text()) ?? [];
    expect(await (await show(new URL(toPost).pathname)).text()).toContain('name="value"');
    expect(await layUps()).toMatchObject([{ from: "2026-04-05", to: "2026-04-10" }]);
    await forget();
  });

  test("deferring until a date silences the due point until then", async () => {
    const nonce = nonceIn(await (await show(links.defer)).text());
    const done = await send(links.defer, { nonce, untilOn: "2026-05-20", untilDistance: "" });
    expect(done.status).toBe(200);
    const open = (await rider.get("/v1/reminders?limit=200")).body.items.filter(
      ({ stage, status }: Json) =>
        stage !== "ask" && (status === "planned" || status === "deferred"),
    );
    expect(open.length).toBeGreaterThan(0);
    for (const { plannedFor } of open) expect(plannedFor >= "2026-05-20").toBe(true);
  });

  test("work logged from the mail is judged and stands in the history", async () => {
    const page = await (await show(links.log)).text();
    expect(page).toContain("Chain &lt;slack&gt;");
    const done = await send(links.log, {
      nonce: nonceIn(page),
      doneOn: "2026-04-10",
      reading: "910",
      "found.0.value": "35",
      notes: "Loose.",
    });
    expect(done.status).toBe(200);
    const { items } = (await rider.get(`/v1/vehicles/${vehicleId}/work-records`)).body;
    expect(items).toHaveLength(1);
    expect(items[0].findings[0].verdict).toBe("over");
    expect(items[0].by.memberId).toBe(rider.owner.id);
  });

  test("a forged link, a flipped bit and another form's nonce are refused", async () => {
    expect((await show("/links/nonsense.nonsense")).status).toBe(404);
    const flipped = links.post.replace(/.$/, (last) => (last === "A" ? "B" : "A"));
    expect((await show(flipped)).status).toBe(404);
    const nonce = nonceIn(await (await show(links.defer)).text());
    expect((await send(links.post, { nonce, value: "920", unit: "km" })).status).toBe(404);
    expect((await readings()).some(({ value }) => value === 920)).toBe(false);
  });

  test("an expired link does nothing and offers to mail a fresh one", async () => {
    await rider.moveTo("2026-09-20T18:00:00Z");
    const page = await show(links.post);
    expect(page.status).toBe(410);
    const before = (await readings()).length;
    const asked = await send(links.post, { nonce: nonceIn(await page.text()), value: "2000" });
    expect(asked.status).toBe(200);
    expect((await readings()).length).toBe(before);
    await rider.moveTo("2026-09-20T19:00:00Z");
    const [fresh] = (await rider.get("/v1/messages?limit=1")).body.items;
    expect(fresh).toMatchObject({ kind: "freshLink", status: "sent" });
  });

  test("one press of the mail program's own button unsubscribes (RFC 8058), and is not undone by time", async () => {
    const press = await fetch(service.baseUrl + links.leave, {
      method: "POST",
      headers: { "content-type": "application/x-www-form-urlencoded" },
      body: "List-Unsubscribe=One-Click",
    });
    expect(press.status).toBe(200);
    const owner = (await rider.get(`/v1/members/${rider.owner.id}`)).body;
    expect(owner.unsubscribedAt).not.toBeNull();
    const sent = async () =>
      (await rider.get("/v1/messages?limit=200")).body.items.filter(
        ({ kind }: Json) => kind === "reminder",
      ).length;
    const before = await sent();
    await rider.moveTo("2027-03-20T18:00:00Z");
    expect(await sent()).toBe(before);
  });
});
