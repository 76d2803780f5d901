import { once } from "node:events";
import { type ClientRequest, request } from "node:http";
import { json } from "node:stream/consumers";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, clientOf } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

const HOUR = 3_600_000;
const BEGUN = Date.parse("2024-01-01T08:00:00Z");
const MOST_BYTES = 8 * 1024 * 1024;

/** A machine read every hour, which runs 30 km in each; only the first readings are asked about. */
function machine(readings: number) {
  return {
    asOf: new Date(BEGUN + 12 * HOUR).toISOString(),
    readings: Array.from({ length: readings }, (_, n) => ({
      at: new Date(BEGUN + n * HOUR).toISOString(),
      value: n * 30,
    })),
    targets: [100_000],
  };
}

/** As many of these machines as fit in a body, filled up with spaces to the last byte that is taken. */
function fullBody(one: object): string {
  const text = JSON.stringify(one);
  const count = Math.floor((MOST_BYTES - 20) / (text.length + 1));
  return `{"cases":[${Array.from({ length: count }, () => text).join(",")}]}`.padEnd(MOST_BYTES);
}

/** The key of a new account that may do everything. */
async function ownerKey({ baseUrl, operatorToken }: RunningService): Promise<string> {
  const { body } = await clientOf(baseUrl, operatorToken).post("/v1/accounts", {
    name: "Invented riders",
    owner: { name: "Robin", email: "robin@example.org" },
  });
  return body.apiKey.key;
}

describe("forecasts whose work is long", () => {
  let service: RunningService;
  let caller: Client;
  let headers: Record<string, string>;
  beforeAll(async () => {
    service = await startService();
    const key = await ownerKey(service);
    caller = clientOf(service.baseUrl, key);
    headers = { authorization: `Bearer ${key}`, "content-type": "application/json" };
  });
  afterAll(() => service.stop());

  const post = (text: string, signal: AbortSignal | null = null) =>
    fetch(`${service.baseUrl}/v1/forecasts`, { method: "POST", headers, body: text, signal });

  test("others are answered while the largest body that cannot even be read is looked at", async () => {
    const order: string[] = [];
    const sent = request(`${service.baseUrl}/v1/forecasts`, { method: "POST", headers });
    const refused = once(sent, "response").then(([{ statusCode }]) => order.push(`${statusCode}`));
    await new Promise<void>((resolve) => sent.end("[".repeat(MOST_BYTES), resolve));
    for (let n = 1; n <= 20; n += 1) order.push(`alive ${(await caller.get("/livez")).status}`);
    await refused;
    expect(order).toEqual([...Array.from({ length: 20 }, () => "alive 200"), "400"]);
  });

  test("a full body is answered case by case", async () => {
    const answer = await post(fullBody(machine(500)));
    expect(answer.status).toBe(200);
    const { results } = (await answer.json()) as { results: unknown[] };
    expect(results.length).toBeGreaterThan(300);
  });

  test("a small forecast does not wait for a large one", async () => {
    const order: string[] = [];
    await Promise.all([
      post(fullBody(machine(500))).then(() => order.push("large")),
      new Promise((resolve) => setTimeout(resolve, 50))
        .then(() => caller.post("/v1/forecasts", { cases: [machine(5)] }))
        .then(() => order.push("small")),
    ]);
    expect(order).toEqual(["small", "large"]);
  });

  test("an answer much longer than what is asked comes whole and in order", async () => {
    const many = (count: number, of: (n: number) => number) =>
      Array.from({ length: count }, (_, n) => of(n + 1));
    const cases = many(60, (n) => n).map((n) => ({
      ...machine(15),
      id: `machine ${n}`,
      targets: many(100, (target) => 1000 * target),
      quantiles: many(50, (p) => p / 51),
      withinDays: many(50, (days) => days),
    }));
    const { status, body } = await caller.post("/v1/forecasts", { cases });
    expect(status).toBe(200);
    expect(body.results.map(({ id }: { id: string }) => id)).toEqual(cases.map(({ id }) => id));
    expect(JSON.stringify(body).length).toBeGreaterThan(10 * 1024 * 1024);
  });

  test("of faults without number the first thousand are told, in their order", async () => {
    const faulty = { readings: Array.from({ length: 600 }, () => 0) };
    const { status, body } = await caller.post("/v1/forecasts", { cases: [{}, faulty, faulty] });
    expect(status).toBe(422);
    expect(body.errors).toHaveLength(1000);
    expect(body.errors[0]).toEqual({
      pointer: "#/cases/1/readings/0",
      detail: "must be an object",
    });
    expect(body.errors[999].pointer).toBe("#/cases/2/readings/399");
  });

  test("what is wrong beside the cases is told with them", async () => {
    const { body } = await caller.post("/v1/forecasts?when=now", {
      asOf: "yesterday",
      other: 1,
      cases: [{}, { kind: "boat" }],
    });
    expect(
      body.errors.map(({ pointer, parameter }: Record<string, string>) => pointer ?? parameter),
    ).toEqual(["when", "#/asOf", "#/other", "#/cases/1/kind"]);
  });

  test.each([
    ["broken JSON", '{"cases":[', 400, "malformed"],
    ["a body that is no object", "[]", 422, "invalid"],
    ["nothing", "", 422, "invalid"],
    ["cases that are no list", '{"cases":{}}', 422, "invalid"],
    ["no case", '{"cases":[]}', 422, "invalid"],
    ["a number beyond a double", '{"cases":[{"targets":[1e400]}]}', 422, "invalid"],
    ["a byte too many", " ".repeat(MOST_BYTES + 1), 413, "body-too-large"],
  ])("%s is refused as the problem that it is", async (_what, text, status, slug) => {
    const answer = await post(text);
    const id = answer.headers.get("x-request-id");
    expect(answer.headers.get("content-type")).toBe("application/problem+json");
    expect(await answer.json()).toMatchObject({
      status,
      type: `http://127.0.0.1/problems/${slug}`,
      instance: id,
    });
    expect(answer.status).toBe(status);
  });

  test("whoever leaves gives up the place that the body took", async () => {
    const large = fullBody(machine(500));
    for (let n = 0; n < 6; n += 1) {
      const leaving = new AbortController();
      // Sent away where the one before has not been noticed to be gone yet; else it ends in a throw.
      const left = post(large, leaving.signal).catch(() => undefined);
      await caller.get("/v1/account");
      leaving.abort();
      await left;
    }
    const small = async () => (await caller.post("/v1/forecasts", { cases: [machine(5)] })).status;
    await expect.poll(small, { timeout: 10_000 }).toBe(200);
  });

  test("a body for which there is no room beside those under way is sent away for a while", async () => {
    const begun: ClientRequest[] = [];
    const small = () => caller.post("/v1/forecasts", { cases: [machine(5)] });
    const crowded = async () => {
      begun.push(announce(MOST_BYTES));
      return (await small()).status;
    };
    await expect.poll(crowded, { timeout: 10_000 }).toBe(503);
    expect((await small()).headers.get("retry-after")).toBe("1");
    for (const sent of begun) sent.destroy();
    await expect.poll(async () => (await small()).status).toBe(200);
  });

  test("what is under way when the service stops is answered to its end", async () => {
    const stopping = await startService();
    const sent = request(`${stopping.baseUrl}/v1/forecasts`, {
      ...{ method: "POST", agent: false },
      headers: { ...headers, authorization: `Bearer ${await ownerKey(stopping)}` },
    });
    const answered = once(sent, "response").then(([answer]) => json(answer));
    await new Promise<void>((resolve) => sent.end(fullBody(machine(500)), resolve));
    const [body] = await Promise.all([answered, stopping.stop()]);
    expect((body as { results: unknown[] }).results.length).toBeGreaterThan(300);
  });

  test("without its thread the service says so for forecasts, and does the rest", async () => {
    const broken = await startService({ threadProgram: new URL("file:///nowhere.js") });
    const own = clientOf(broken.baseUrl, await ownerKey(broken));
    expect((await own.post("/v1/forecasts", { cases: [{}] })).status).toBe(503);
    expect((await own.get("/v1/account")).status).toBe(200);
    await broken.stop();
  });

  /** A request that says how long its body will be, and sends no more than its beginning. */
  function announce(bytes: number): ClientRequest {
    const sent = request(`${service.baseUrl}/v1/forecasts`, {
      method: "POST",
      headers: { ...headers, "content-length": bytes },
    });
    sent.on("error", () => {});
    sent.write("{");
    return sent;
  }
});
