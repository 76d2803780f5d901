import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

/**
 * Digests over HTTP alone, in sandboxes that live through months. Machines and figures are invented.
 */
let service: RunningService;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service.stop());

type Account = Awaited<ReturnType<typeof sandbox>>;

const OIL = { title: "Engine oil", every: { distance: { km: 3000 } }, lastWork: "never" };

/** Invented riders; nobody is asked for readings, so that all mail is reminders and digests. */
async function riders(reminders: Record<string, unknown>, owner: Record<string, unknown> = {}) {
  return sandbox(service, "2026-02-25T12:00:00Z", {
    reminders: { askForReadings: false, ...reminders },
    ...owner,
  });
}

async function addMachine(client: Client, fields: Record<string, unknown> = {}): Promise<Json> {
  const { body } = await client.post("/v1/vehicles", {
    ...{ name: "Single 150", kind: "motorcycle", meterUnit: "km", inServiceOn: "2026-01-01" },
    ...fields,
  });
  return body;
}

async function addTask(client: Client, vehicle: Json, task: Record<string, unknown>) {
  const added = await client.post(`/v1/vehicles/${vehicle.id}/tasks`, task);
  expect(added.status).toBe(201);
  return added.body;
}

async function post(client: Client, vehicle: Json, value: number) {
  expect((await client.post(`/v1/vehicles/${vehicle.id}/readings`, { value })).status).toBe(201);
}

/** Every digest of the account, the oldest first, also those that said nothing. */
async function digests(client: Client, memberId?: string): Promise<Json[]> {
  const of = memberId ? `&memberId=${memberId}` : "";
  const { items } = (await client.get(`/v1/messages?limit=200${of}`)).body;
  return items.filter(({ kind }: Json) => kind === "digest").reverse();
}

const whole = async (client: Client, { id }: Json) => (await client.get(`/v1/messages/${id}`)).body;
const times = (messages: Json[]) => messages.map(({ createdAt }) => createdAt);

async function changeReminders(client: Client, id: string, changes: Record<string, unknown>) {
  const { body, headers } = await client.get(`/v1/members/${id}`);
  const { timeZone = body.timeZone, ...reminders } = changes;
  const patch = { timeZone, reminders: { ...body.reminders, ...reminders } };
  const changed = await client.patch(`/v1/members/${id}`, patch, String(headers.get("etag")));
  expect(changed.status).toBe(200);
}

describe("a manager of one machine, week by week", () => {
  let account: Account;
  beforeAll(async () => {
    account = await riders({ digest: "weekly" });
    const machine = await addMachine(account);
    await addTask(account, machine, OIL);
    await post(account, machine, 500);
    await account.moveTo("2026-03-01T12:00:00Z");
    await post(account, machine, 600);
    await account.moveTo("2026-05-25T12:00:00Z");
  });

  test("gets one each Monday at eight by the own clocks, summer time or not", async () => {
    const all = await digests(account);
    expect(times(all)).toEqual([
      ...["2026-03-02", "2026-03-09", "2026-03-16", "2026-03-23"].map(
        (on) => `${on}T07:00:00.000Z`,
      ),
      ...["2026-03-30", "2026-04-06", "2026-04-13", "2026-04-20", "2026-04-27"].map(
        (on) => `${on}T06:00:00.000Z`,
      ),
      ...["2026-05-04", "2026-05-11", "2026-05-18", "2026-05-25"].map(
        (on) => `${on}T06:00:00.000Z`,
      ),
    ]);
  });

  test("is sent none that would say nothing, and can see that it was left out", async () => {
    const [first] = await digests(account);
    expect(first).toMatchObject({ status: "suppressed", lastAnswer: "Nothing to report." });
  });

  test("reads what falls due, and at last that nobody has read the meter for long", async () => {
    const sent = (await digests(account)).filter(({ status }) => status === "sent");
    expect(sent.length).toBeGreaterThan(2);
    const last = await whole(account, sent.at(-1));
    expect(last.subject).toMatch(/^Week of 25 May: /);
    expect(last.text).toContain("No reading for long");
    expect(last.text).toContain("Single 150: last 600 km on 1 March");
    expect(last.headers).toMatchObject({
      "Auto-Submitted": "auto-generated",
      "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
      "Content-Language": "en-GB",
      References: `<digest-${account.owner.id}@example.org>`,
    });
  });

  test("reads of work once, in the digest that follows it", async () => {
    const { items } = (await account.get("/v1/vehicles")).body;
    const logged = await account.post(`/v1/vehicles/${items[0].id}/work-records`, {
      doneAt: "2026-05-25",
      reading: { value: 3000, unit: "km" },
      by: { name: "Robin" },
      taskIds: [(await account.get(`/v1/vehicles/${items[0].id}/tasks`)).body.items[0].id],
    });
    expect(logged.status).toBe(201);
    await account.moveTo("2026-06-09T12:00:00Z");
    const [next, after] = (await digests(account)).slice(-2);
    const { text } = await whole(account, next);
    expect(text).toContain("Work logged since 25 May");
    expect(text).toContain("Single 150: Engine oil, on 25 May");
    expect(String((await whole(account, after)).text)).not.toContain("Work logged");
  });
});

describe("preferences that change between digests", () => {
  let account: Account;
  beforeAll(async () => {
    account = await riders({ digest: "weekly", quietDays: [1, 2] });
    const machine = await addMachine(account);
    await addTask(account, machine, { title: "Papers", kind: "fixedDate", on: "2026-02-27" });
    await account.moveTo("2026-03-05T12:00:00Z");
  });
  const since = async (count: number) => times((await digests(account)).slice(count));

  test("quiet days put it off to the first one that is not", async () => {
    expect(await since(0)).toEqual(["2026-03-04T07:00:00.000Z"]);
  });

  test("another hour, zone or day brings no second one about the same week", async () => {
    await changeReminders(account, account.owner.id, { sendingHour: 20, quietDays: [] });
    await changeReminders(account, account.owner.id, { timeZone: "Pacific/Honolulu" });
    await account.moveTo("2026-03-17T12:00:00Z");
    // Monday at 20:00 in a zone ten hours behind UTC.
    expect(await since(1)).toEqual(["2026-03-10T06:00:00.000Z", "2026-03-17T06:00:00.000Z"]);
  });

  test("a monthly one comes on the first of the month, and none once none is wanted", async () => {
    await changeReminders(account, account.owner.id, { digest: "monthly" });
    await account.moveTo("2026-05-20T12:00:00Z");
    expect(await since(3)).toEqual(["2026-04-02T06:00:00.000Z", "2026-05-02T06:00:00.000Z"]);
    const [, last] = (await digests(account)).slice(3);
    expect((await whole(account, last)).subject).toMatch(/^In May 2026: /);
    await changeReminders(account, account.owner.id, { digest: "none" });
    await account.moveTo("2026-07-20T12:00:00Z");
    expect(await since(5)).toEqual([]);
  });

  test("whoever leaves the mailing gets none either", async () => {
    await changeReminders(account, account.owner.id, { digest: "weekly" });
    await account.moveTo("2026-07-29T12:00:00Z");
    expect(await since(5)).toEqual(["2026-07-21T06:00:00.000Z", "2026-07-28T06:00:00.000Z"]);
    const [digest] = (await digests(account)).slice(5);
    const { headers } = await whole(account, digest);
    const leave = new URL(String(headers["List-Unsubscribe"]).slice(1, -1));
    const left = await fetch(service.baseUrl + leave.pathname, {
      method: "POST",
      headers: { "content-type": "application/x-www-form-urlencoded" },
      body: "List-Unsubscribe=One-Click",
    });
    expect(left.status).toBe(200);
    await account.moveTo("2026-09-29T12:00:00Z");
    expect(await since(7)).toEqual([]);
  });
});

describe("a fleet with a manager, a mechanic and a rider", () => {
  let account: Account;
  const members: Record<string, Json> = {};
  beforeAll(async () => {
    account = await riders({ digest: "none" });
    for (const role of ["manager", "mechanic", "rider"]) {
      const added = await account.post("/v1/members", {
        ...{ name: `The ${role}`, email: `${role}@example.org`, role },
        reminders: { digest: "weekly", askForReadings: false },
      });
      expect(added.status).toBe(201);
      members[role] = added.body;
    }
    const due = { title: "Papers", kind: "fixedDate", on: "2026-02-20" };
    const mine = { responsibleMemberId: members.rider.id };
    await addTask(account, await addMachine(account, { ...mine, name: "The rider's own" }), due);
    await addTask(account, await addMachine(account, { name: "Somebody else's" }), due);
    const later = await addMachine(account, { name: "Not due for long" });
    await addTask(account, later, { ...due, on: "2026-05-10" });
    await account.moveTo("2026-03-02T12:00:00Z");
  });
  const textFor = async (role: string) => {
    const [digest] = await digests(account, members[role].id);
    return (await whole(account, digest)).text;
  };

  test("tells the manager of all machines, by whom they are kept, and how many are clear", async () => {
    const text = await textFor("manager");
    expect(text).toContain("The rider's own");
    expect(text).toContain("Kept by: The rider");
    expect(text).toContain("Somebody else's");
    expect(text).toContain("On 1 machine nothing is likely to fall due before 10 May.");
  });

  test("tells the rider of the own machine alone", async () => {
    const text = await textFor("rider");
    expect(text).toContain("The rider's own");
    expect(text).not.toContain("Kept by");
    expect(text).not.toContain("Somebody else's");
    expect(text).not.toContain("nothing is likely");
  });

  test("has nothing for a mechanic who looks after no machine", async () => {
    const [digest] = await digests(account, members.mechanic.id);
    expect(digest).toMatchObject({ status: "suppressed", lastAnswer: "Nothing to report." });
  });

  test("shows its digests to the account, and to each member the own one alone", async () => {
    expect(await digests(account)).toHaveLength(3);
    const key = await account.post("/v1/api-keys", {
      ...{ name: "The rider's", scopes: ["read"], memberId: members.rider.id },
    });
    const seen = await digests(clientOf(service.baseUrl, key.body.key));
    expect(seen.map(({ memberId }) => memberId)).toEqual([members.rider.id]);
  });

  test("plans none for a member who was removed", async () => {
    const { headers } = await account.get(`/v1/members/${members.mechanic.id}`);
    const gone = await account.remove(
      `/v1/members/${members.mechanic.id}`,
      String(headers.get("etag")),
    );
    expect(gone.status).toBe(204);
    await account.moveTo("2026-03-10T12:00:00Z");
    const since = (await digests(account)).filter(({ createdAt }) => createdAt > "2026-03-03");
    const ids = new Set(since.map(({ memberId }) => memberId));
    expect(ids).toEqual(new Set([members.manager.id, members.rider.id]));
  });

  test("tells of a reading that is held", async () => {
    const { items } = (await account.get("/v1/vehicles?limit=200")).body;
    const own = items.find(({ name }: Json) => name === "The rider's own");
    for (const [to, value] of [
      ["2026-03-11T12:00:00Z", 1000],
      ["2026-03-12T12:00:00Z", 1030],
      ["2026-03-13T12:00:00Z", 106_000],
    ] as const) {
      await account.moveTo(to);
      await post(account, own, value);
    }
    await account.moveTo("2026-03-17T12:00:00Z");
    const [digest] = (await digests(account, members.manager.id)).slice(-1);
    expect((await whole(account, digest)).text).toContain(
      "The rider's own: 106,000 km on 13 March",
    );
  });
});
