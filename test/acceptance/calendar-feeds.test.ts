import ICAL from "ical.js";
import { pino } from "pino";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

/** What an independent parser reads in a calendar. */
function eventsIn(text: string) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  return calendar.getAllSubcomponents("vevent").map((component) => {
    const { uid, summary, description, startDate, sequence } = new ICAL.Event(component);
    return { uid, summary, description, sequence, on: startDate.toString() };
  });
}

describe("a calendar to subscribe to", () => {
  let service: RunningService;
  let account: Awaited<ReturnType<typeof sandbox>>;

  const logged: string[] = [];

  beforeAll(async () => {
    const logger = pino({ level: "trace" }, { write: (line: string) => logged.push(line) });
    service = await startService({ logger });
    account = await sandbox(service, "2026-01-01T08:00:00Z");
  });
  afterAll(() => service.stop());

  const made = async (path: string, body: unknown, client: Client = account): Promise<Json> => {
    const answer = await client.post(path, body);
    if (answer.status !== 201) throw new Error(`${path}: ${JSON.stringify(answer.body)}`);
    return answer.body;
  };
  const read = (url: string, init: RequestInit = {}) =>
    fetch(url.replace("http://127.0.0.1", service.baseUrl), init);
  const eventsAt = async (url: string) => eventsIn(await (await read(url)).text());
  const machine = async (fields: Json = {}): Promise<Json> =>
    made("/v1/vehicles", {
      name: "Single 150",
      kind: "motorcycle",
      meterUnit: "km",
      inServiceOn: "2024-01-01",
      ...fields,
    });
  const brakeFluid = { title: "Brake fluid", every: { months: 24 } };
  const rider = async (name: string) => {
    const member = await made("/v1/members", { name, email: `${name}@example.org`, role: "rider" });
    const { key } = await made("/v1/api-keys", {
      name,
      scopes: ["read", "readings:write", "write"],
      memberId: member.id,
    });
    return { id: member.id as string, client: clientOf(service.baseUrl, key) };
  };

  test("its address is shown where it is made and nowhere else, and not in a replay", async () => {
    const key = { "idempotency-key": "calendar-1" };
    const first = await account.post("/v1/calendar-feeds", { name: "All" }, key);
    expect(first.status).toBe(201);
    expect(first.body).toMatchObject({ name: "All", memberId: null });
    expect(first.body.url).toMatch(/^http:\/\/127\.0\.0\.1\/calendars\/[\w-]{70}\.ics$/);
    const { url: _secret, ...rest } = first.body;
    expect((await account.post("/v1/calendar-feeds", { name: "All" }, key)).body).toEqual(rest);
    const path = String(first.headers.get("location"));
    expect((await account.get(path)).body).toEqual(rest);
    expect((await account.get("/v1/calendar-feeds")).body.items).toContainEqual(rest);
    const events = JSON.stringify((await account.get("/v1/events?limit=200")).body);
    expect(events).toContain("calendarFeed.added");
    expect(events).not.toContain("/calendars/");
  });

  test("over a year each task stands in it once, keeps its UID, and its SEQUENCE rises exactly when its day moves", async () => {
    const year = await sandbox(service, "2026-01-01T08:00:00Z");
    const { id } = await made(
      "/v1/vehicles",
      { name: "Single 150", kind: "motorcycle", meterUnit: "km", inServiceOn: "2024-01-01" },
      year,
    );
    const at = `/v1/vehicles/${id}`;
    const lastWork = { on: "2025-12-01", reading: 5000 };
    const oil = { title: "Oil change", every: { distance: 6000, months: 12 }, lastWork };
    const oilTask = await made(`${at}/tasks`, oil, year);
    await made(`${at}/tasks`, { ...brakeFluid, lastWork: { on: "2025-03-01" } }, year);
    await made(`${at}/tasks`, { title: "Inspection", kind: "fixedDate", on: "2026-09-15" }, year);
    await made(`${at}/readings`, { value: 5210, at: "2026-01-01T07:00:00Z" }, year);
    const { url } = await made("/v1/calendar-feeds", { name: "Mine" }, year);

    const seen = new Map<string, { on: string; sequence: number; days: Set<string> }>();
    let meter = 5210;
    for (let week = 2; week <= 52; week += 2) {
      const now = new Date(Date.UTC(2026, 0, 1, 8) + week * 7 * 86_400_000).toISOString();
      await year.moveTo(now);
      meter += week % 18 < 8 ? 520 : 40;
      await made(`${at}/readings`, { value: meter }, year);
      if (week === 40) {
        const by = { name: "Toni" };
        const work = { doneAt: now, reading: { value: meter }, taskIds: [oilTask.id], by };
        await made(`${at}/work-records`, work, year);
      }
      const events = await eventsAt(url);
      expect(events).toHaveLength(3);
      for (const { uid, on, sequence } of events) {
        const before = seen.get(uid);
        const days = before?.days ?? new Set();
        if (before) expect(sequence > before.sequence, `${uid} on ${now}`).toBe(on !== before.on);
        if (before && on === before.on) expect(sequence).toBe(before.sequence);
        seen.set(uid, { on, sequence, days: days.add(on) });
      }
    }
    expect(seen.size).toBe(3);
    expect([...seen.keys()]).toContain(`task-${oilTask.id}@example.org`);
    const moves = [...seen.values()].map(({ days }) => days.size).sort((a, b) => a - b);
    expect(moves.slice(0, 2)).toEqual([1, 1]);
    expect(moves[2]).toBeGreaterThan(3);
  });

  test("between two tellings it is the same byte for byte, and 304 to who has it", async () => {
    const { id } = await machine();
    await made(`/v1/vehicles/${id}/tasks`, { ...brakeFluid, lastWork: { on: "2024-06-01" } });
    const { url } = await made("/v1/calendar-feeds", { name: "Polled" });
    const first = await read(url);
    expect(first.status).toBe(200);
    expect(first.headers.get("content-type")).toBe("text/calendar; charset=utf-8");
    expect(first.headers.get("cache-control")).toBe("private, max-age=3600");
    expect(first.headers.get("ratelimit-policy")).toContain("address");
    const etag = String(first.headers.get("etag"));
    expect(etag).toMatch(/^"[\w-]{43}"$/);
    const text = await first.text();
    expect(eventsIn(text)).toHaveLength(1);

    await account.moveTo("2026-01-02T08:00:00Z");
    expect(await (await read(url)).text()).toBe(text);
    const known = await read(url, { headers: { "if-none-match": etag } });
    expect([known.status, await known.text(), known.headers.get("etag")]).toEqual([304, "", etag]);
    const head = await read(url, { method: "HEAD" });
    expect([head.status, await head.text(), head.headers.get("etag")]).toEqual([200, "", etag]);
    expect(head.headers.get("content-length")).toBe(String(Buffer.byteLength(text)));
    const other = await read(url, { headers: { "if-none-match": '"other"' } });
    expect(other.status).toBe(200);

    await made(`/v1/vehicles/${id}/tasks`, { ...brakeFluid, lastWork: { on: "2024-07-01" } });
    const changed = await read(url, { headers: { "if-none-match": etag } });
    expect(changed.status).toBe(200);
    expect(eventsIn(await changed.text())).toHaveLength(2);
    expect((await read(url, { method: "POST" })).headers.get("allow")).toBe("GET, HEAD, OPTIONS");
  });

  test("done, paused and removed tasks and disposed machines have no entry", async () => {
    const own = await rider("Kim");
    const { id } = await machine({ responsibleMemberId: own.id });
    const at = `/v1/vehicles/${id}`;
    const add = async (title: string, fields: Json) =>
      made(`${at}/tasks`, { title, ...fields, lastWork: { on: "2024-06-01" } });
    const once = await made(`${at}/tasks`, {
      title: "Run-in",
      kind: "once",
      first: { months: 30 },
      lastWork: "never",
    });
    const paused = await add("Chain", { every: { months: 24 } });
    const removed = await add("Tyres", { every: { months: 24 } });
    await add("Brake fluid", { every: { months: 24 } });
    await add("Never read", { every: { distance: 100_000 } });
    const { url } = await made("/v1/calendar-feeds", { name: "Kim", memberId: own.id });
    const titles = async () =>
      (await eventsAt(url)).map(({ summary }) => summary.replace(" · Single 150", "")).sort();
    expect(await titles()).toEqual(["Brake fluid", "Chain", "Run-in", "Tyres"]);

    const etag = async (path: string) => String((await account.get(path)).headers.get("etag"));
    const pausedAt = `${at}/tasks/${paused.id}`;
    await account.patch(pausedAt, { paused: true }, await etag(pausedAt));
    const removedAt = `${at}/tasks/${removed.id}`;
    await account.remove(removedAt, await etag(removedAt));
    const by = { name: "Toni" };
    await made(`${at}/work-records`, { doneAt: "2026-01-02", taskIds: [once.id], by });
    expect(await titles()).toEqual(["Brake fluid"]);

    await account.patch(at, { disposedOn: "2026-01-02" }, await etag(at));
    expect(await titles()).toEqual([]);
  });

  test("an overdue task stays on its day and says so", async () => {
    const late = await sandbox(service, "2026-01-01T08:00:00Z");
    const { id } = await made(
      "/v1/vehicles",
      { name: "Single 150", kind: "motorcycle", meterUnit: "km", inServiceOn: "2024-01-01" },
      late,
    );
    const lastWork = { on: "2024-06-01" };
    await made(`/v1/vehicles/${id}/tasks`, { ...brakeFluid, late: { months: 1 }, lastWork }, late);
    const { url } = await made("/v1/calendar-feeds", { name: "Mine" }, late);
    const [before] = await eventsAt(url);
    expect(before).toMatchObject({ summary: "Brake fluid · Single 150", on: "2026-06-01" });
    await late.moveTo("2026-09-01T08:00:00Z");
    const [after] = await eventsAt(url);
    expect(after).toMatchObject({
      uid: before?.uid,
      sequence: before?.sequence,
      on: "2026-06-01",
      summary: "Brake fluid · Single 150 (overdue)",
    });
    expect(after?.description).toContain("Past the permitted window, due by date.");
  });

  test("a date that somebody moves is moved in it, however far away it is", async () => {
    const own = await rider("Alex");
    const { id } = await machine({ responsibleMemberId: own.id });
    const path = `/v1/vehicles/${id}/tasks`;
    const far = { title: "Hoses", every: { months: 72 }, lastWork: { on: "2025-12-01" } };
    const task = await made(path, far);
    const { url } = await made("/v1/calendar-feeds", { name: "Alex", memberId: own.id });
    expect(await eventsAt(url)).toMatchObject([{ on: "2031-12-01", sequence: 0 }]);
    const at = `${path}/${task.id}`;
    const etag = String((await account.get(at)).headers.get("etag"));
    await account.patch(at, { every: { months: 71 } }, etag);
    expect(await eventsAt(url)).toMatchObject([{ on: "2031-11-01", sequence: 1 }]);
  });

  test("plain dates are those of whoever looks after the machine, the language the reader's", async () => {
    const far = await made("/v1/members", {
      name: "Nia",
      email: "nia@example.org",
      role: "rider",
      timeZone: "Pacific/Auckland",
      locale: "de",
    });
    const { id } = await machine({ name: "Far away", responsibleMemberId: far.id });
    await made(`/v1/vehicles/${id}/tasks`, { ...brakeFluid, lastWork: { on: "2024-06-01" } });
    const all = await made("/v1/calendar-feeds", { name: "All" });
    const hers = await made("/v1/calendar-feeds", { name: "Nia", memberId: far.id });
    const inAll = (await eventsAt(all.url)).find(({ summary }) => summary.includes("Far away"));
    expect(inAll).toMatchObject({ on: "2026-06-01" });
    expect(inAll?.description).toContain("On 1 June 2026.");
    const [inHers] = await eventsAt(hers.url);
    expect(inHers).toMatchObject({ uid: inAll?.uid, on: "2026-06-01" });
    expect(inHers?.description).toContain("Am 1. Juni 2026.");
  });

  test("a rotated address is dead at once, so is that of a removed calendar", async () => {
    const { id, url } = await made("/v1/calendar-feeds", { name: "Mine" });
    const path = `/v1/calendar-feeds/${id}`;
    const rotated = await account.post(`${path}/rotate`);
    expect(rotated.status).toBe(200);
    expect(rotated.body.url).not.toBe(url);
    expect((await read(url)).status).toBe(404);
    expect((await read(rotated.body.url)).status).toBe(200);

    const stale = await account.patch(path, { name: "Ours" }, '"1"');
    expect(stale.status).toBe(412);
    const etag = String(rotated.headers.get("etag"));
    const renamed = await account.patch(path, { name: "Ours" }, etag);
    expect(renamed.body).toMatchObject({ id, name: "Ours" });
    expect(await (await read(rotated.body.url)).text()).toContain("NAME:Ours\r\n");
    expect((await account.patch(path, { memberId: null }, '"3"')).status).toBe(422);

    expect((await account.remove(path, String(renamed.headers.get("etag")))).status).toBe(204);
    expect((await read(rotated.body.url)).status).toBe(404);
    expect((await account.get(path)).status).toBe(404);
  });

  test("a made-up, changed or foreign address is answered as a dead one", async () => {
    const { url } = await made("/v1/calendar-feeds", { name: "Mine" });
    const token = String(/calendars\/(.+)\.ics$/.exec(url)?.[1]);
    const flipped = `${token.slice(0, 30)}${token[30] === "A" ? "B" : "A"}${token.slice(31)}`;
    for (const one of [
      "x",
      flipped,
      token.slice(1),
      `${token}A`,
      `${token}=`,
      "%2e",
      "a".repeat(400),
    ]) {
      const answer = await read(`http://127.0.0.1/calendars/${one}.ics`);
      expect(answer.status, one).toBe(404);
      expect(answer.headers.get("content-type")).toBe("application/problem+json");
      expect(await answer.text()).not.toContain(one.length > 3 ? one : "\0");
    }
    expect((await read(`http://127.0.0.1/calendars/${token}`)).status).toBe(404);
  });

  test("no address is ever logged, whether it works or not", async () => {
    const { url } = await made("/v1/calendar-feeds", { name: "Secret" });
    const token = String(/calendars\/(.+)\.ics$/.exec(url)?.[1]);
    for (const path of [`${token}.ics`, `${token}x.ics`, `${token}.ics?a=1`, token]) {
      await read(`http://127.0.0.1/calendars/${path}`);
    }
    expect(logged.filter((line) => line.includes('"readCalendar"')).length).toBeGreaterThan(2);
    expect(logged.filter((line) => line.includes(token.slice(0, 40)))).toEqual([]);
  });

  test("riders keep their own alone; a key bound to vehicles keeps none", async () => {
    const one = await rider("One");
    const two = await rider("Two");
    const own = await made("/v1/calendar-feeds", { name: "Own" }, one.client);
    expect(own.memberId).toBe(one.id);
    for (const memberId of [null, two.id]) {
      const refused = await one.client.post("/v1/calendar-feeds", { name: "More", memberId });
      expect(refused.status).toBe(403);
    }
    const path = `/v1/calendar-feeds/${own.id}`;
    expect((await one.client.get("/v1/calendar-feeds")).body.items).toHaveLength(1);
    expect((await two.client.get("/v1/calendar-feeds")).body.items).toEqual([]);
    const asked = await two.client.get(`/v1/calendar-feeds?memberId=${one.id}`);
    expect(asked.body.items).toEqual([]);
    for (const answer of [
      await two.client.get(path),
      await two.client.post(`${path}/rotate`),
      await two.client.patch(path, { name: "x" }, '"1"'),
      await two.client.remove(path, '"1"'),
    ]) {
      expect(answer.status).toBe(404);
    }
    const missing = { name: "x", memberId: "01900000-0000-7000-8000-00000000dead" };
    expect((await account.post("/v1/calendar-feeds", missing)).status).toBe(422);

    const { id } = await machine();
    const bound = { name: "b", scopes: ["read", "write"], vehicleIds: [id] };
    const phone = clientOf(service.baseUrl, (await made("/v1/api-keys", bound)).key);
    expect((await phone.post("/v1/calendar-feeds", { name: "All" })).status).toBe(403);
    expect((await phone.post(`${path}/rotate`)).status).toBe(403);
    expect((await phone.get("/v1/calendar-feeds")).status).toBe(403);
  });

  test("a member's calendar goes with the member", async () => {
    const gone = await rider("Gone");
    const { id, url } = await made("/v1/calendar-feeds", { name: "Gone" }, gone.client);
    expect((await read(url)).status).toBe(200);
    const path = `/v1/members/${gone.id}`;
    await account.remove(path, String((await account.get(path)).headers.get("etag")));
    expect((await read(url)).status).toBe(404);
    expect((await account.get(`/v1/calendar-feeds/${id}`)).status).toBe(404);
  });
});
