import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, clientOf, type Json } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { report } from "./support/report.ts";

const POSTS = 50;

describe("fifty posts at once with one Idempotency-Key", () => {
  let service: RunningService;
  let operator: Client;
  let club: Client;
  let vehicle: string;
  let task: string;
  beforeAll(async () => {
    service = await startService();
    operator = clientOf(service.baseUrl, service.operatorToken);
    const owner = { name: "Robin", email: "robin@example.org", timeZone: "UTC" };
    const made = await operator.post("/v1/accounts", { name: "Invented riders", owner });
    club = clientOf(service.baseUrl, made.body.apiKey.key);
    const body = { name: "Single 150", kind: "motorcycle", meterUnit: "km" };
    vehicle = `/v1/vehicles/${(await club.post("/v1/vehicles", body)).body.id}`;
    const plan = { title: "Oil change", every: { distance: 6000 }, lastWork: "never" };
    task = (await club.post(`${vehicle}/tasks`, plan)).body.id;
  });
  afterAll(() => service.stop());

  /** What is posted, where its rows are listed, and what of the answer is shown once. */
  const CASES: Record<string, () => { path: string; body: object; list: string; once?: string }> = {
    readings: () => ({
      path: `${vehicle}/readings`,
      body: { value: 5000 },
      list: `${vehicle}/readings`,
    }),
    vehicles: () => ({
      path: "/v1/vehicles",
      body: { name: "Twin 650", kind: "motorcycle", meterUnit: "km" },
      list: "/v1/vehicles",
    }),
    members: () => ({
      path: "/v1/members",
      body: { name: "Kim", email: "kim@example.org", role: "rider", timeZone: "UTC" },
      list: "/v1/members",
    }),
    tasks: () => ({
      path: `${vehicle}/tasks`,
      body: { title: "Chain", every: { distance: 1000 }, lastWork: "never" },
      list: `${vehicle}/tasks`,
    }),
    "work records": () => ({
      path: `${vehicle}/work-records`,
      body: { doneAt: "2026-01-05", taskIds: [task], by: { name: "Toni" } },
      list: `${vehicle}/work-records`,
    }),
    "lay-ups": () => ({
      path: `${vehicle}/lay-ups`,
      body: { from: "2025-11-01", to: "2026-03-01" },
      list: `${vehicle}/lay-ups`,
    }),
    "API keys": () => ({
      path: "/v1/api-keys",
      body: { name: "Phone", scopes: ["read"] },
      list: "/v1/api-keys",
      once: "key",
    }),
    "webhook endpoints": () => ({
      path: "/v1/webhook-endpoints",
      body: { url: "https://fleet.example.org/hook" },
      list: "/v1/webhook-endpoints",
      once: "secret",
    }),
    "calendar feeds": () => ({
      path: "/v1/calendar-feeds",
      body: { name: "Harbour" },
      list: "/v1/calendar-feeds",
      once: "url",
    }),
  };

  test.each(Object.keys(CASES))("%s: one row, identical answers", async (name) => {
    const { path, body, list, once } = CASES[name]?.() ?? { path: "", body: {}, list: "" };
    const count = async () => (await club.get(`${list}?limit=200`)).body.items.length;
    const before = await count();
    const key = { "idempotency-key": `fault-${name.replaceAll(" ", "-")}` };
    const answers = await Promise.all(
      Array.from({ length: POSTS }, () => club.post(path, body, key)),
    );
    const after = await count();
    const told = answers.map((answer) => {
      const { [once ?? ""]: _shownOnce, ...rest } = answer.body as Json;
      return JSON.stringify([answer.status, answer.headers.get("location"), rest]);
    });
    report({
      fault: `${POSTS} parallel posts with one Idempotency-Key: ${name}`,
      ...{ backend: "-", tries: POSTS, due: 1, sent: after - before },
      ...{ lost: Math.max(0, 1 - after + before), repeated: Math.max(0, after - before - 1) },
      note: `${new Set(told).size} answers differ`,
    });
    expect(answers.map(({ status }) => status)).toEqual(Array(POSTS).fill(201));
    expect(after - before).toBe(1);
    expect(new Set(told).size).toBe(1);
    if (once) expect(answers.filter((answer) => answer.body[once] !== undefined)).toHaveLength(1);
  });

  test("an account by the operator: one account, its key shown once", async () => {
    const owner = { name: "Alex", email: "alex@example.org", timeZone: "UTC" };
    const body = { name: "Another club", owner };
    const key = { "idempotency-key": "fault-account" };
    const answers = await Promise.all(
      Array.from({ length: POSTS }, () => operator.post("/v1/accounts", body, key)),
    );
    expect(new Set(answers.map((answer) => answer.body.account?.id)).size).toBe(1);
    expect(answers.filter((answer) => answer.body.apiKey?.key !== undefined)).toHaveLength(1);
  });

  test("another body under the same key is refused, and nothing is written", async () => {
    const key = { "idempotency-key": "fault-mismatch" };
    const first = await club.post(`${vehicle}/readings`, { value: 5100 }, key);
    expect(first.status).toBe(201);
    const other = await club.post(`${vehicle}/readings`, { value: 5101 }, key);
    expect(other.status).toBe(422);
    const { items } = (await club.get(`${vehicle}/readings?limit=200`)).body;
    expect(items.filter(({ value }: Json) => value === 5101)).toEqual([]);
  });
});
