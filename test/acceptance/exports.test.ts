import { request } from "node:http";
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { type Client, clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

type Account = Awaited<ReturnType<typeof sandbox>>;

const SCOPES = ["read", "readings:write", "write", "admin"];

describe("exports", () => {
  let service: RunningService;
  let account: Account;
  let key: string;
  const ids: Record<string, string> = {};

  beforeAll(async () => {
    service = await startService();
  });
  afterAll(() => service.stop());
  beforeEach(async () => {
    account = await sandbox(service, "2026-03-01T08:00:00Z");
    key = await keyOf(account);
    await fill(account);
  });

  async function keyOf(client: Client, body: object = {}): Promise<string> {
    const made = await client.post("/v1/api-keys", { name: "all", scopes: SCOPES, ...body });
    return made.body.key;
  }

  const file = async (what: string, token = key) => {
    const answer = await fetch(`${service.baseUrl}/v1/exports/${what}`, {
      headers: { authorization: `Bearer ${token}` },
    });
    return {
      status: answer.status,
      type: answer.headers.get("content-type"),
      text: await answer.text(),
    };
  };

  const send = async (query: string, body: string, token: string, type = "text/csv") => {
    const answer = await fetch(`${service.baseUrl}/v1/imports?${query}`, {
      method: "POST",
      headers: { authorization: `Bearer ${token}`, "content-type": type },
      body,
    });
    return { status: answer.status, body: (await answer.json()) as Json };
  };

  async function made(client: Client, path: string, body: unknown): Promise<Json> {
    const answer = await client.post(path, body);
    if (answer.status > 201) throw new Error(`${path}: ${JSON.stringify(answer.body)}`);
    return answer.body;
  }

  /** Something of every resource, with texts that a spreadsheet would run. */
  async function fill(client: Account): Promise<void> {
    const rider = { name: "Rider", email: "rider@example.org", role: "rider" };
    ids.rider = (await made(client, "/v1/members", rider)).id;
    const schedule = {
      name: "Single 150",
      tasks: [{ title: "Chain", every: { distance: { km: 1000, mi: 600 }, months: 6 } }],
    };
    const { id: scheduleId } = await made(client, "/v1/schedules", schedule);
    const vehicle = await made(client, "/v1/vehicles", {
      ...{ name: '=HYPERLINK("x"), "four"', kind: "motorcycle", meterUnit: "km" },
      ...{ notes: "'=kept\nas it is", hoursMeter: true, inServiceOn: "2026-01-01" },
      ...{ responsibleMemberId: ids.rider, externalId: "harbour-04", scheduleId },
    });
    ids.vehicle = vehicle.id;
    ids.other = (
      await made(client, "/v1/vehicles", { name: "Five", kind: "car", meterUnit: "mi" })
    ).id;
    const at = `/v1/vehicles/${vehicle.id}`;
    const oil = { title: "Engine oil", every: { distance: 1000, months: 12 }, lastWork: "never" };
    const point = { name: "Pad", lower: 2, method: "value", quantity: "thickness" };
    ids.task = (await made(client, `${at}/tasks`, { ...oil, points: [point] })).id;
    await made(client, `${at}/readings`, { value: 500, at: "2026-01-10T08:00:00Z", note: "-1" });
    await made(client, `${at}/readings`, { value: 900, at: "2026-02-20T08:00:00Z" });
    await made(client, `${at}/readings`, { value: 90_000, at: "2026-02-21T08:00:00Z" });
    await made(client, `${at}/readings`, { value: 12, meter: "hours", externalId: "h" });
    await made(client, `${at}/meter-changes`, {
      ...{ at: "2026-02-22T08:00:00Z", before: 910, after: 0 },
    });
    await made(client, `${at}/lay-ups`, { from: "2026-11-01", to: "2027-03-01" });
    await made(client, `${at}/work-records`, {
      ...{ doneAt: "2026-02-20T09:00:00Z", reading: { value: 900 }, taskIds: [ids.task] },
      ...{ by: { memberId: ids.rider }, cost: { amount: "12.50", currency: "EUR" }, minutes: 30 },
      findings: [{ point: "Pad", asFound: { value: 3.1 } }],
    });
    const gone = await made(client, `${at}/work-records`, {
      ...{ doneAt: "2026-02-21", by: { name: "Toni" }, notes: "another machine" },
    });
    await made(client, `${at}/work-records/${gone.id}/void`, { reason: "Wrong machine." });
    await made(client, "/v1/webhook-endpoints", { url: "https://fleet.example.org/hook" });
    await made(client, "/v1/calendar-feeds", { name: "All", memberId: null });
    await client.moveTo("2026-09-15T08:00:00Z");
  }

  test("a file of vehicles can be posted again: all of it is there, texts and all", async () => {
    const { status, type, text } = await file("vehicles");
    expect([status, type]).toEqual([200, "text/csv; charset=utf-8"]);
    expect(text).toContain(`"'=HYPERLINK(""x""), ""four"""`);
    const again = await send("kind=vehicles", text, key);
    expect(again.body.counts, JSON.stringify(again.body)).toMatchObject({
      repeated: 2,
      refused: 0,
    });
  });

  test("so can files of readings and of work", async () => {
    const readings = await file("readings");
    expect(readings.text.trim().split("\r\n")).toHaveLength(1 + 5);
    const again = await send("kind=readings", readings.text, key);
    expect(again.body.counts, JSON.stringify(again.body)).toMatchObject({
      repeated: 5,
      refused: 0,
    });
    const work = await file("work");
    expect(work.text).toContain("Engine oil");
    expect(work.text).not.toContain("another machine");
    const logged = await send("kind=work", work.text, key);
    expect(logged.body.counts, JSON.stringify(logged.body)).toMatchObject({
      repeated: 1,
      refused: 0,
    });
  });

  test("what is imported elsewhere is exported alike from there", async () => {
    const other = await sandbox(service, "2026-09-15T08:00:00Z");
    const token = await keyOf(other);
    const mine = { name: "Mine", kind: "motorcycle", meterUnit: "km", externalId: "mine" };
    await made(other, "/v1/vehicles", mine);
    const lines = ["vehicleExternalId,value,at,unit,meter,source,note,externalId"];
    for (let day = 1; day <= 28; day += 1) {
      const at = `2026-05-${String(day).padStart(2, "0")}T08:00:00.000Z`;
      lines.push(`mine,${1000 + 12.5 * day},${at},km,distance,device,'=${day},r-${day}`);
    }
    await send("kind=readings", `${lines.join("\r\n")}\r\n`, token);
    const { text } = await file("readings", token);
    const withoutId = text.replaceAll(/^[^,\n]+,/gm, "");
    expect(withoutId).toBe(`${lines.join("\r\n")}\r\n`);
  });

  test("a key shows what it sees, and costs to those who may see them", async () => {
    const rider = await keyOf(account, { memberId: ids.rider });
    expect((await file("vehicles", rider)).text.trim().split(/\r\n(?=[^"]*)/).length).toBeLessThan(
      4,
    );
    expect((await file("vehicles", rider)).text).not.toContain("Five");
    expect((await file("work", key)).text).toContain("12.50 EUR");
    expect((await file("work", rider)).text).not.toContain("12.50");
    const bound = await keyOf(account, { scopes: ["read"], vehicleIds: [ids.other] });
    expect((await file("readings", bound)).text.trim().split("\r\n")).toHaveLength(1);
    expect((await file("account", rider)).status).toBe(403);
    expect((await file("account", bound)).status).toBe(403);
  });

  test("an account goes into an empty one, and comes out of it again, line by line the same", async () => {
    const before = await file("account");
    expect(before.type).toBe("application/x-ndjson");
    const lines = before.text.trimEnd().split("\n");
    expect(JSON.parse(lines.at(-1) ?? "")).toEqual({ end: true, rows: lines.length - 2 });
    const resources = new Set(lines.slice(1, -1).map((line) => JSON.parse(line).resource));
    expect([...resources]).toEqual([
      ...["member", "schedule", "vehicle", "meterChange", "layUp", "task", "reading", "workRecord"],
      ...["workTask", "webhookEndpoint", "calendarFeed", "message", "reminder", "event"],
    ]);
    const other = await sandbox(service, "2026-09-15T08:00:00Z", { name: "Somebody else" });
    const token = await keyOf(other, { memberId: other.owner.id });
    const tried = await send(
      "kind=account&dryRun=true",
      before.text,
      token,
      "application/x-ndjson",
    );
    expect(tried.body, JSON.stringify(tried.body)).toMatchObject({ status: "tried" });
    const done = await send("kind=account", before.text, token, "application/x-ndjson");
    expect(done.body, JSON.stringify(done.body)).toMatchObject({
      ...{ status: "applied", counts: { recorded: lines.length - 2 } },
    });
    const after = await file("account", token);
    expect(after.text.split("\n").slice(1)).toEqual(before.text.split("\n").slice(1));
    // The owner of the file is the owner now, and the key's own member.
    const { items } = (await other.get("/v1/members")).body;
    expect(items.map(({ name }: Json) => name).toSorted()).toEqual(["Rider", "Robin"]);
    const again = await send("kind=account", before.text, token, "application/x-ndjson");
    expect(again.status).toBe(409);
  });

  test("what was sent before is not sent again after it", async () => {
    const { text } = await file("account");
    const other = await sandbox(service, "2026-09-15T08:00:00Z");
    const token = await keyOf(other);
    await send("kind=account", text, token, "application/x-ndjson");
    const moved = clientOf(service.baseUrl, token);
    const sent = async (client: Pick<Client, "get">) =>
      (await client.get("/v1/messages?limit=200")).body.items.map(({ subject }: Json) => subject);
    expect(await sent(moved)).toEqual(await sent(account));
    await moved.post("/v1/account/clock", { to: "2026-10-15T08:00:00Z" });
    await account.moveTo("2026-10-15T08:00:00Z");
    expect(await sent(moved)).toEqual(await sent(account));
  });

  test("a file of an account that is broken is refused, and nothing of it is taken", async () => {
    const { text } = await file("account");
    const other = await sandbox(service, "2026-09-15T08:00:00Z");
    const token = await keyOf(other);
    const lines = text.trimEnd().split("\n");
    const tried = async (broken: string[]) =>
      send("kind=account", `${broken.join("\n")}\n`, token, "application/x-ndjson");
    expect((await tried(lines.slice(0, -1))).status).toBe(400);
    expect((await tried(lines.toSpliced(2, 1))).status).toBe(400);
    expect((await tried(["{}", ...lines.slice(1)])).status).toBe(400);
    expect((await tried([])).status).toBe(400);
    const at = lines.findIndex((line) => line.includes('"resource":"reading"'));
    const foreign = lines.with(
      at,
      String(lines[at]).replace(/"vehicleId":"[^"]+"/, `"vehicleId":"${ids.rider}"`),
    );
    const refused = await tried(foreign);
    expect(refused.body).toMatchObject({ status: "refused" });
    expect((await other.get(`/v1/imports/${refused.body.id}/rows`)).body.items).toMatchObject([
      { line: at + 1, outcome: "refused", detail: "names something that is not in the file" },
    ]);
    const odd = await tried(
      lines.with(at, String(lines[at]).replace('"unit":"km"', '"unit":"li"')),
    );
    expect((await other.get(`/v1/imports/${odd.body.id}/rows`)).body.items[0]).toMatchObject({
      ...{ line: at + 1, column: "unit" },
    });
    expect((await other.get("/v1/vehicles")).body.items).toEqual([]);
    expect((await tried(lines)).body.status).toBe("applied");
  });

  test("a caller who goes away leaves no transaction behind", async () => {
    for (let n = 0; n < 6; n += 1) await leave();
    expect((await file("account")).status).toBe(200);
  });

  /** Reads the head of an answer, and no more. */
  function leave(): Promise<void> {
    return new Promise((resolve, reject) => {
      const asked = request(`${service.baseUrl}/v1/exports/account`, {
        headers: { authorization: `Bearer ${key}` },
      });
      asked.once("response", (answer) => {
        answer.destroy();
        setTimeout(resolve, 300);
      });
      asked.once("error", reject);
      asked.end();
    });
  }
});
