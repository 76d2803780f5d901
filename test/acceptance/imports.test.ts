import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

type Account = Awaited<ReturnType<typeof sandbox>>;

describe("imports", () => {
  let service: RunningService;
  let account: Account;
  let token: string;
  let vehicleId: string;

  beforeAll(async () => {
    service = await startService();
  });
  afterAll(() => service.stop());
  beforeEach(async () => {
    account = await sandbox(service, "2026-05-01T08:00:00Z");
    token = (
      await account.post("/v1/api-keys", {
        name: "all",
        scopes: ["read", "readings:write", "write", "admin"],
      })
    ).body.key;
    const machine = { name: "Four", kind: "motorcycle", meterUnit: "km", externalId: "harbour-04" };
    vehicleId = (await account.post("/v1/vehicles", machine)).body.id;
  });

  async function send(
    query: string,
    body: string | Uint8Array<ArrayBuffer>,
    headers: Record<string, string> = {},
    key = token,
  ): Promise<{ status: number; body: Json; headers: Headers }> {
    const answer = await fetch(`${service.baseUrl}/v1/imports?${query}`, {
      method: "POST",
      headers: { authorization: `Bearer ${key}`, "content-type": "text/csv", ...headers },
      body,
    });
    return { status: answer.status, body: await answer.json(), headers: answer.headers };
  }

  const readingsOf = async (id = vehicleId) =>
    (await account.get(`/v1/vehicles/${id}/readings?limit=200`)).body.items as Json[];
  const rowsOf = async ({ body }: { body: Json }, more = "") =>
    (await account.get(`/v1/imports/${body.id}/rows${more}`)).body.items as Json[];
  const csv = (...lines: string[]) => `${lines.join("\r\n")}\r\n`;
  const HEAD = "vehicleExternalId,value,at";

  test("readings are all applied, and the answer counts what became of them", async () => {
    const done = await send(
      "kind=readings&externalId=april",
      csv(HEAD, "harbour-04,500,2026-04-01T08:00:00Z", "harbour-04,620,2026-04-08T08:00:00Z"),
    );
    expect(done.status, JSON.stringify(done.body)).toBe(201);
    expect(done.body).toMatchObject({ kind: "readings", status: "applied", externalId: "april" });
    expect(done.body.counts).toEqual({
      ...{ recorded: 2, held: 0, repeated: 0, refused: 0, reported: 0 },
    });
    expect(done.headers.get("location")).toBe(`/v1/imports/${done.body.id}`);
    const readings = await readingsOf();
    expect(readings.map(({ value, source }) => [value, source])).toEqual([
      [620, "import"],
      [500, "import"],
    ]);
    expect((await account.get(`/v1/imports/${done.body.id}`)).body).toEqual(done.body);
  });

  test("a refused row keeps all others out, and the report says line, column and what would be right", async () => {
    const file = csv(
      "vehicleExternalId,value,at,unit",
      "harbour-04,500,2026-04-01T08:00:00Z,km",
      "harbour-04,many,2026-04-02T08:00:00Z,km",
      "harbour-04,-5,2026-04-02T08:00:00Z,km",
      "nobody,500,2026-04-02T08:00:00Z,km",
      "harbour-04,600,2026-06-02T08:00:00Z,km",
      "harbour-04,600,2026-04-02T08:00:00Z,h",
      "harbour-04,600,2026-04-02",
    );
    const done = await send("kind=readings&externalId=april", file);
    expect(done.status).toBe(201);
    expect(done.body).toMatchObject({ status: "refused", counts: { recorded: 1, refused: 6 } });
    expect(await rowsOf(done)).toEqual([
      row(3, "value", "must be a number"),
      row(4, "value", "must be at least 0"),
      row(5, "vehicleExternalId", "must be the externalId of a vehicle that this key can see"),
      row(6, "at", expect.stringContaining("ahead of the service's clock")),
      row(7, "unit", 'must be "km" or "mi"'),
      row(8, null, "has 3 cells where the first line has 4"),
    ]);
    expect(await readingsOf()).toEqual([]);
    expect((await account.get("/v1/events?type=readings.imported")).body.items).toEqual([]);
    // The mended file may take the externalId that the refused one had.
    const mended = csv(HEAD, "harbour-04,500,2026-04-01T08:00:00Z");
    expect((await send("kind=readings&externalId=april", mended)).body.status).toBe("applied");
  });

  const row = (line: number, column: string | null, detail: unknown) => ({
    ...{ line, outcome: "refused", column, detail, resourceId: null },
  });

  test("a dry run tells the same and leaves no row behind", async () => {
    const file = csv(
      HEAD,
      "harbour-04,500,2026-04-01T08:00:00Z",
      "harbour-04,9,2026-04-02T08:00:00Z",
    );
    const tried = await send("kind=readings&dryRun=true", file);
    expect(tried.body).toMatchObject({ status: "tried", dryRun: true });
    expect(await readingsOf()).toEqual([]);
    const done = await send("kind=readings", file);
    expect(done.body.counts).toEqual(tried.body.counts);
    expect(done.body.counts).toMatchObject({ recorded: 1, held: 1 });
    const told = await rowsOf(tried);
    expect(told).toMatchObject([{ line: 3, outcome: "held", column: "value", resourceId: null }]);
    const [held] = await rowsOf(done);
    expect((await readingsOf()).find(({ id }) => id === held.resourceId).status).toBe("held");
  });

  test("a file that is posted again repeats all its rows and records none", async () => {
    const file = csv(
      `${HEAD},externalId`,
      "harbour-04,500,2026-04-01T08:00:00Z,a",
      "harbour-04,620,2026-04-08T08:00:00Z,",
      "harbour-04,620,2026-04-08T08:00:00Z,",
      "harbour-04,500,2026-04-01T08:00:00Z,a",
    );
    const first = await send("kind=readings", file);
    expect(first.body.counts).toMatchObject({ recorded: 2, repeated: 2, refused: 0 });
    const again = await send("kind=readings", file);
    expect(again.body.counts).toMatchObject({ recorded: 0, repeated: 4, refused: 0 });
    expect(await readingsOf()).toHaveLength(2);
    const other = csv(`${HEAD},externalId`, "harbour-04,501,2026-04-01T08:00:00Z,a");
    const refused = await send("kind=readings", other);
    expect(refused.body.status).toBe("refused");
    expect((await rowsOf(refused))[0]).toMatchObject({ column: "externalId" });
    expect((await rowsOf(refused))[0].detail).toContain("another value");
  });

  test("readings are judged as those that are posted one by one, whatever their order in the file", async () => {
    const other = { name: "Five", kind: "motorcycle", meterUnit: "km", externalId: "harbour-05" };
    const alone = (await account.post("/v1/vehicles", other)).body.id;
    const values = [500, 620, 740, 8600, 980, 1100];
    const at = (day: number) => `2026-04-${String(1 + 4 * day).padStart(2, "0")}T08:00:00Z`;
    for (const [day, value] of values.entries()) {
      await account.post(`/v1/vehicles/${alone}/readings`, { value, at: at(day) });
    }
    const lines = values.map((value, day) => `harbour-04,${value},${at(day)}`).reverse();
    const done = await send("kind=readings", csv(HEAD, ...lines));
    expect(done.body.counts).toMatchObject({ recorded: 5, held: 1 });
    const told = (one: Json) => [one.value, one.status, one.total, one.at];
    expect((await readingsOf()).map(told)).toEqual((await readingsOf(alone)).map(told));
  });

  test("totals count on over a change of the meter, and known readings before and after are looked at", async () => {
    const path = `/v1/vehicles/${vehicleId}`;
    await account.post(`${path}/readings`, { value: 9000, at: "2026-03-01T08:00:00Z" });
    await account.post(`${path}/meter-changes`, {
      ...{ at: "2026-03-10T08:00:00Z", before: 9100, after: 0 },
    });
    await account.post(`${path}/readings`, { value: 400, at: "2026-04-20T08:00:00Z" });
    const file = csv(
      HEAD,
      "harbour-04,8800,2026-02-20T08:00:00Z",
      "harbour-04,200,2026-04-01T08:00:00Z",
      "harbour-04,450,2026-04-02T08:00:00Z",
    );
    const done = await send("kind=readings", file);
    expect(done.body.counts).toMatchObject({ recorded: 2, held: 1 });
    const totals = (await readingsOf()).map(({ total, status }) => [total, status]);
    expect(totals).toEqual([
      [9500, "accepted"],
      [9550, "held"],
      [9300, "accepted"],
      [9000, "accepted"],
      [8800, "accepted"],
    ]);
  });

  test("followers are told of a machine once, and its reminders are planned anew", async () => {
    const task = { title: "Oil", every: { distance: 1000 }, lastWork: "never" };
    const { body } = await account.post(`/v1/vehicles/${vehicleId}/tasks`, task);
    const lines = Array.from({ length: 20 }, (_, day) => {
      return `harbour-04,${500 + 30 * day},2026-04-${String(day + 1).padStart(2, "0")}T08:00:00Z`;
    });
    const done = await send("kind=readings", csv(HEAD, ...lines));
    const events = (await account.get("/v1/events?type=readings.imported")).body.items;
    expect(events).toMatchObject([
      {
        vehicleId,
        resourceId: done.body.id,
        data: { recorded: 20, held: 0, from: "2026-04-01T08:00:00.000Z" },
      },
    ]);
    expect((await account.get("/v1/events?type=reading.recorded")).body.items).toEqual([]);
    const reminders = (await account.get(`/v1/reminders?taskId=${body.id}`)).body.items;
    expect(reminders.map(({ stage }: Json) => stage)).toEqual(["overdue"]);
  });

  test("vehicles are added as by single posts, with what the file says", async () => {
    const file = csv(
      "name,kind,meterUnit,hoursMeter,modelYear,declaredPerYear,externalId,notes",
      'Six,quad,mi,true,2024,3000.5,harbour-06,"first line\nsecond, with a ""mark"""',
      "Seven,car,km,,,,,",
    );
    const done = await send("kind=vehicles", file);
    expect(done.body.counts, JSON.stringify(done.body)).toMatchObject({ recorded: 2, refused: 0 });
    const [six] = (await account.get("/v1/vehicles?externalId=harbour-06")).body.items;
    expect(six).toMatchObject({
      ...{ name: "Six", kind: "quad", meterUnit: "mi", hoursMeter: true, modelYear: 2024 },
      ...{ declaredPerYear: 3000.5, notes: 'first line\nsecond, with a "mark"' },
    });
    const refused = await send(
      "kind=vehicles",
      csv(
        "name,kind,meterUnit,modelYear,externalId",
        "Eight,boat,km,,harbour-08",
        "Nine,car,km,late,harbour-09",
        "Six again,quad,mi,2024,harbour-06",
        "Ten,car,km,2024,harbour-10",
      ),
    );
    expect(refused.body).toMatchObject({ status: "refused", counts: { refused: 3, recorded: 1 } });
    const rows = await rowsOf(refused);
    expect(rows.map(({ line, column }) => [line, column])).toEqual([
      [2, "kind"],
      [3, "modelYear"],
      [4, "externalId"],
    ]);
    expect((await account.get("/v1/vehicles?externalId=harbour-10")).body.items).toEqual([]);
  });

  test("work is logged in the order in which it was done, its tasks named by title or id", async () => {
    const path = `/v1/vehicles/${vehicleId}`;
    const task = { every: { distance: 1000, months: 12 }, lastWork: "never" };
    const oil = (await account.post(`${path}/tasks`, { ...task, title: "Engine oil" })).body.id;
    const chain = (await account.post(`${path}/tasks`, { ...task, title: "Chain" })).body.id;
    const head = "vehicleExternalId,doneAt,reading,tasks,by,trade,minutes,cost,externalId";
    const file = csv(
      head,
      `harbour-04,2026-04-20,1900,Engine oil; ${chain},Toni,workshop,45,12.50 EUR,w-2`,
      "harbour-04,2026-03-01T10:00:00Z,1000,Engine oil,Toni,,,,w-1",
    );
    const done = await send("kind=work", file);
    expect(done.body.counts, JSON.stringify(await rowsOf(done))).toMatchObject({ recorded: 2 });
    const { items } = (await account.get(`${path}/work-records`)).body;
    expect(items).toMatchObject([
      {
        ...{ doneOn: "2026-04-20", reading: { value: 1900, unit: "km" }, minutes: 45 },
        ...{ by: { name: "Toni", trade: "workshop" }, cost: { amount: "12.50", currency: "EUR" } },
      },
      { doneOn: "2026-03-01", taskIds: [oil] },
    ]);
    expect(items[0].taskIds.toSorted()).toEqual([oil, chain].toSorted());
    const { due } = (await account.get(`${path}/tasks/${oil}`)).body;
    expect(due.distance).toBe(2900);
    expect((await send("kind=work", file)).body.counts).toMatchObject({ repeated: 2, recorded: 0 });
    const wrong = await send(
      "kind=work",
      csv(head, "harbour-04,2026-04-21,,Valves,Toni,,,,", "harbour-04,soon,,,Toni,,,a1 e,"),
    );
    expect((await rowsOf(wrong)).map(({ line, column }) => [line, column])).toEqual([
      [2, "tasks"],
      [3, "doneAt"],
      [3, "cost"],
    ]);
  });

  test("who may post what, and on which machine", async () => {
    const riderId = (
      await account.post("/v1/members", { name: "Rider", email: "r@example.org", role: "rider" })
    ).body.id;
    const keyOf = async (body: object) =>
      (await account.post("/v1/api-keys", { name: "k", scopes: ["read", "write"], ...body })).body
        .key;
    const rider = await keyOf({ memberId: riderId });
    const phone = await keyOf({ scopes: ["read", "readings:write"], vehicleIds: [vehicleId] });
    const mine = (
      await account.post("/v1/vehicles", {
        ...{ name: "Mine", kind: "car", meterUnit: "km", externalId: "mine" },
        responsibleMemberId: riderId,
      })
    ).body.id;
    const file = csv(HEAD, "harbour-04,500,2026-04-01T08:00:00Z", "mine,500,2026-04-01T08:00:00Z");
    const byRider = await send("kind=readings", file, {}, rider);
    expect(byRider.body).toMatchObject({ status: "refused", counts: { refused: 1, recorded: 1 } });
    const byPhone = await send("kind=readings", file, {}, phone);
    expect(byPhone.body.counts).toMatchObject({ refused: 1, recorded: 1 });
    const byId = csv("vehicleId,value", `${mine},500`);
    expect((await send("kind=readings", byId, {}, phone)).body.status).toBe("refused");
    expect((await send("kind=readings", byId, {}, rider)).body.status).toBe("applied");
    const vehicles = csv("name,kind,meterUnit", "New,car,km");
    expect((await send("kind=vehicles", vehicles, {}, rider)).status).toBe(403);
    expect((await send("kind=vehicles", vehicles, {}, phone)).status).toBe(403);
    expect((await send("kind=work", csv("vehicleId,doneAt"), {}, phone)).status).toBe(403);
    // Each sees its own imports, and no other's.
    const asRider = clientOf(service.baseUrl, rider);
    expect((await asRider.get("/v1/imports")).body.items.map(({ id }: Json) => id)).toContain(
      byRider.body.id,
    );
    expect((await asRider.get(`/v1/imports/${byPhone.body.id}`)).status).toBe(404);
    expect((await asRider.get(`/v1/imports/${byPhone.body.id}/rows`)).status).toBe(404);
    expect((await account.get(`/v1/imports/${byPhone.body.id}`)).status).toBe(200);
  });

  test("a repeat under the same Idempotency-Key is answered as the first time, another body is refused", async () => {
    const file = csv(HEAD, "harbour-04,500,2026-04-01T08:00:00Z");
    const key = { "idempotency-key": "april" };
    const first = await send("kind=readings", file, key);
    const again = await send("kind=readings", file, key);
    expect(again.status).toBe(201);
    expect(again.body).toEqual(first.body);
    const other = await send("kind=readings", `${file}\r\n`, key);
    expect(other.body.type).toContain("idempotency-mismatch");
    expect((await account.get("/v1/imports")).body.items).toHaveLength(1);
  });

  test("an externalId answers with the import that was applied, and refuses another file", async () => {
    const file = csv(HEAD, "harbour-04,500,2026-04-01T08:00:00Z");
    const first = await send("kind=readings&externalId=april", file);
    const again = await send("kind=readings&externalId=april", file);
    expect([again.status, again.body]).toEqual([200, first.body]);
    const other = csv(HEAD, "harbour-04,501,2026-04-01T08:00:00Z");
    expect((await send("kind=readings&externalId=april", other)).status).toBe(409);
  });

  test("lists of imports and of their rows come in pages and take filters", async () => {
    const lines = Array.from({ length: 7 }, () => "harbour-04,x,2026-04-01T08:00:00Z");
    const done = await send("kind=readings", csv(HEAD, ...lines));
    const first = await account.get(`/v1/imports/${done.body.id}/rows?limit=3&outcome=refused`);
    expect(first.body.items.map(({ line }: Json) => line)).toEqual([2, 3, 4]);
    const next = first.headers.get("link")?.match(/<([^>]+)>/)?.[1] ?? "";
    expect((await account.get(next)).body.items.map(({ line }: Json) => line)).toEqual([5, 6, 7]);
    expect(await rowsOf(done, "?outcome=held")).toEqual([]);
    const list = async (query: string) =>
      (await account.get(`/v1/imports?${query}`)).body.items.length;
    expect(await list("kind=readings&status=refused")).toBe(1);
    expect(await list("status=applied")).toBe(0);
  });

  test("beyond a thousand rows of an outcome are counted alone", async () => {
    const lines = Array.from({ length: 1500 }, () => "harbour-04,x,2026-04-01T08:00:00Z");
    const done = await send("kind=readings", csv(HEAD, ...lines));
    expect(done.body.counts).toMatchObject({ refused: 1500, reported: 1000 });
  });

  describe("files that nobody means well with", () => {
    const good = "harbour-04,500,2026-04-01T08:00:00Z";
    test.each([
      ["nothing at all", ""],
      ["an unknown column", csv("vehicleExternalId,value,colour", "harbour-04,1,red")],
      ["a column named twice", csv("value,value", "1,2")],
      ["no header", csv(good)],
      ["one endless line", "x".repeat(400_000)],
    ])("%s is refused at once, by column", async (_what, file) => {
      const done = await send("kind=readings", file);
      expect(done.status, JSON.stringify(done.body)).toBe(422);
      expect(done.body.errors[0]).toHaveProperty("column");
      expect((await account.get("/v1/imports")).body.items).toEqual([]);
    });

    test("what the first line lacks is told, and so are marks other than commas", async () => {
      const named = async (kind: string, file: string) =>
        (await send(`kind=${kind}`, file)).body.errors.map(({ column }: Json) => column);
      expect(await named("vehicles", csv("name,notes", "One,x"))).toEqual(["kind", "meterUnit"]);
      expect(await named("vehicles", "")).toEqual(["name", "kind", "meterUnit"]);
      expect(await named("readings", csv("vehicleId,at"))).toEqual(["value"]);
      const parted = await send("kind=vehicles", csv("name;kind;meterUnit", "One;moped;km"));
      expect(parted.body.detail).toBe(
        "the file: has no comma in its first line: columns are parted by commas.",
      );
    });

    test("bytes that are no UTF-8 are refused", async () => {
      const latin = Buffer.from(csv(HEAD, "M\u00fcller,500,2026-04-01T08:00:00Z"), "latin1");
      expect((await send("kind=readings", latin)).status).toBe(400);
      const half = Buffer.from(`${HEAD}\r\nM\u00fc`).subarray(0, -1);
      expect((await send("kind=readings", half)).status).toBe(400);
    });

    test.each([
      ["a mark that is never closed", csv(HEAD, good, '"harbour-04,500'), 3],
      ["a mark within a cell", csv(HEAD, good, 'har"bour,500,2026-04-01T08:00:00Z'), 3],
      ["a NUL", csv(HEAD, good, "harbour-04,500,2026\0"), 3],
      ["a huge cell", csv(HEAD, good, `"${"x".repeat(300_000)}",1,`), 3],
      ["too many cells", csv(HEAD, good, `${good},more`), 3],
    ])("%s refuses its row, and with it the file", async (_what, file, line) => {
      const done = await send("kind=readings", file);
      expect(done.status, JSON.stringify(done.body)).toBe(201);
      expect(done.body.status).toBe("refused");
      expect((await rowsOf(done)).map((one) => one.line)).toEqual([line]);
    });

    test("a byte order mark, quoted cells, blank lines and columns in another order are taken", async () => {
      const file = `\ufeff"at",value,vehicleExternalId\n2026-04-01T08:00:00Z,500,"harbour-04"\n\n2026-04-02T08:00:00Z,510,harbour-04`;
      const done = await send("kind=readings", file);
      expect(done.body.counts, JSON.stringify(done.body)).toMatchObject({ recorded: 2 });
    });

    test("lines are counted through cells of several lines", async () => {
      const file = csv(
        `${HEAD},note`,
        `${good},"one\ntwo\nthree"`,
        "harbour-04,x,2026-04-01T08:00:00Z,",
      );
      expect((await rowsOf(await send("kind=readings", file)))[0].line).toBe(5);
    });

    test("another media type, a coding and too large a body are refused", async () => {
      const json = { "content-type": "application/json" };
      expect((await send("kind=readings", "{}", json)).status).toBe(415);
      const account = { "content-type": "application/x-ndjson" };
      expect((await send("kind=readings", "{}", account)).status).toBe(415);
      expect((await send("kind=readings", csv(HEAD), { "content-encoding": "gzip" })).status).toBe(
        415,
      );
      expect((await send("kind=nonsense", csv(HEAD))).status).toBe(422);
    });
  });

  test("two imports of an account run at a time; a third is told to wait", async () => {
    const running = [slowly(), slowly()];
    await Promise.all(running.map(({ begun }) => begun));
    const third = await send("kind=readings", csv(HEAD));
    expect(third.status, JSON.stringify(third.body)).toBe(429);
    expect(Number(third.headers.get("retry-after"))).toBeGreaterThan(0);
    for (const { finish } of running) finish();
    const done = await Promise.all(running.map(({ answer }) => answer));
    expect(done.map(({ status }) => status)).toEqual([201, 201]);
    expect((await send("kind=readings", csv(HEAD))).status).toBe(201);
  });

  /** An import whose file is under way until it is told to end. */
  function slowly() {
    let finish = () => {};
    const until = new Promise<void>((resolve) => {
      finish = resolve;
    });
    const encoder = new TextEncoder();
    const body = new ReadableStream({
      async start(controller) {
        controller.enqueue(encoder.encode(csv(HEAD, "harbour-04,500,2026-04-01T08:00:00Z")));
        await until;
        controller.close();
      },
    });
    const answer = fetch(`${service.baseUrl}/v1/imports?kind=readings`, {
      method: "POST",
      headers: { authorization: `Bearer ${token}`, "content-type": "text/csv" },
      body,
      duplex: "half",
    } as RequestInit);
    return { finish, answer, begun: new Promise((resolve) => setTimeout(resolve, 1500)) };
  }
});
