import pg from "pg";
import { uuidv7 } from "uuidv7";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { z } from "zod";
import { auditPlans } from "../../src/application/audit.ts";
import { sweep } from "../../src/application/mail/sweep.ts";
import { auditStoreOn } from "../../src/database/audit.ts";
import { type Connections, connect } from "../../src/database/client.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import { webhookOutboxOn } from "../../src/database/webhook-outbox.ts";
import { ROUTES } from "../../src/http/routes/all.ts";
import { type Client, clientOf, type Json } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { explainAll } from "./support/explained.ts";
import { FLEET, fillFleet } from "./support/fleet.ts";

/**
 * Rows of one table that one statement may look at: the largest pages and their neighbours, not the
 * account, which has ten thousand vehicles and more of everything else.
 */
const MOST_ROWS = 2_500;

/** What has to go through all of an account, by a piece of its text, and why that is right. */
const GOES_THROUGH_ALL: [piece: string, why: string][] = [
  ['as "waiting" from task t', "the work of all machines is what is asked for"],
  ["t.told->>'stageSince'", "the audit counts what was overlooked, once a day"],
];

let service: RunningService;
let connections: Connections;
let explained: ReturnType<typeof explainAll>;
let owner: Client;
let bound: Client;
const ids: Record<string, string> = {};

beforeAll(async () => {
  service = await startService();
  connections = connect(service.appUrl, { connections: 4, onBroken: () => {} });
  const operator = clientOf(service.baseUrl, service.operatorToken);
  const made = await operator.post("/v1/accounts", {
    name: "Ten thousand machines",
    owner: { name: "Robin", email: "robin@example.org" },
  });
  ids.accountId = made.body.account.id;
  owner = clientOf(service.baseUrl, made.body.apiKey.key);
  await fillFleet(service.ownerUrl, made.body.account.id);
  await findIds(made.body.account.id);
  bound = await keyOfRider();
  explained = explainAll();
}, 300_000);
afterAll(async () => {
  explained?.stop();
  await connections?.close();
  await service?.stop();
});

/** One row of each kind, from the midst of the account. */
async function findIds(accountId: string): Promise<void> {
  const client = new pg.Client({ connectionString: service.ownerUrl });
  await client.connect();
  const vehicle = await client.query(
    "select id, responsible_member_id as member, schedule_id as schedule from vehicle where account_id = $1 order by created_at offset 5000 limit 1",
    [accountId],
  );
  Object.assign(ids, {
    vehicleId: vehicle.rows[0].id,
    memberId: vehicle.rows[0].member,
    scheduleId: vehicle.rows[0].schedule,
  });
  for (const [name, table] of Object.entries(OF_VEHICLE)) {
    const found = await client.query(`select id from ${table} where vehicle_id = $1 limit 1`, [
      ids.vehicleId,
    ]);
    ids[name] = found.rows[0].id;
  }
  const message = await client.query(
    "select id from message where account_id = $1 order by created_at offset 5000 limit 1",
    [accountId],
  );
  ids.messageId = message.rows[0].id;
  await client.end();
}

const OF_VEHICLE = {
  taskId: "task",
  readingId: "reading",
  workRecordId: "work_record",
  layUpId: "lay_up",
  meterChangeId: "meter_change",
  reminderId: "reminder",
};

async function keyOfRider(): Promise<Client> {
  const made = await owner.post("/v1/api-keys", {
    ...{ name: "A rider's", scopes: ["read", "readings:write"] },
    memberId: ids.memberId,
  });
  ids.keyId = made.body.id;
  return clientOf(service.baseUrl, made.body.key);
}

/** Values for each parameter that a list may take; the first that fits is asked for, and all rare ones. */
const FILTERS: Record<string, string[]> = {
  ...{ limit: ["200"], externalId: ["vehicle-5000"], withinDays: ["60"], weeks: ["8"] },
  ...{ updatedAfter: ["2025-01-01T02:00:00Z", "2026-11-01T00:00:00Z"] },
  ...{ from: ["2025-06-01", "2025-06-01T00:00:00Z"], to: ["2027-12-01", "2027-12-01T00:00:00Z"] },
  ...{ group: ["Group 7", "No such group"], state: ["later", "paused"] },
  ...{ status: ["sent", "failed", "inUse", "disposed", "accepted", "held", "standing", "void"] },
  ...{ type: ["vehicle.changed", "key.revoked"], stage: ["ahead", "overdue"], role: ["mechanic"] },
  ...{ kind: ["reminder", "notice", "motorcycle", "camper"], meter: ["distance", "hours"] },
};

function filtersOf(query: z.ZodObject | undefined): string[] {
  return Object.entries(query?.shape ?? {}).flatMap(([name, schema]) => {
    const values = FILTERS[name] ?? [ids[name]].filter((id) => id !== undefined);
    const taken = values.filter((value) => z.safeParse(schema, value).success);
    return taken.map((value) => `?${name}=${encodeURIComponent(value)}`);
  });
}

async function readAll(client: Client): Promise<Map<string, number>> {
  const statuses = new Map<string, number>();
  for (const route of ROUTES.filter((one) => one.method === "GET")) {
    const names = [...route.path.matchAll(/{(\w+)}/g)].map(([, name]) => String(name));
    if (names.some((name) => ids[name] === undefined)) continue;
    const path = names.reduce(
      (whole, name) => whole.replace(`{${name}}`, ids[name] ?? ""),
      route.path,
    );
    for (const query of ["", ...filtersOf(route.query)]) {
      const { status, body } = await client.get(path + query);
      statuses.set(`${route.operationId}${query}`, status);
      if (body?.nextCursor) await client.get(withCursor(path + query, body));
    }
  }
  return statuses;
}

function withCursor(url: string, { nextCursor }: Json): string {
  return `${url}${url.includes("?") ? "&" : "?"}cursor=${encodeURIComponent(nextCursor)}`;
}

describe(`an account of ${FLEET.vehicles} machines`, () => {
  test("is read by its owner and by a rider, list by list and filter by filter", async () => {
    const byOwner = await readAll(owner);
    const refused = [...byOwner].filter(([name, status]) => status >= 400 && !NOT_THERE.test(name));
    expect(refused).toEqual([]);
    await readAll(bound);
  }, 300_000);

  test("is written to", async () => {
    const at = `/v1/vehicles/${ids.vehicleId}`;
    const ok = async (answer: Promise<{ status: number; body: Json }>) => {
      const { status, body } = await answer;
      expect(status, JSON.stringify(body)).toBeLessThan(300);
      return body;
    };
    await ok(owner.post(`${at}/readings`, { value: 4100, externalId: "new-1" }));
    await ok(bound.post(`${at}/readings`, { value: 4110 }, { "idempotency-key": "a" }));
    const batch = [{ vehicleId: ids.vehicleId, value: 4120 }];
    await ok(owner.post("/v1/readings/batch", { readings: batch }));
    const oil = { title: "Oil", every: { months: 12 }, lastWork: "never" };
    const task = await ok(owner.post(`${at}/tasks`, oil));
    await ok(owner.patch(`${at}/tasks/${task.id}`, { minutes: 30 }, "*"));
    const work = { doneAt: "2026-01-01", taskIds: [task.id], by: { name: "Robin" } };
    const record = await ok(owner.post(`${at}/work-records`, work));
    await ok(owner.post(`${at}/work-records/${record.id}/void`, { reason: "A try." }));
    await ok(owner.post(`${at}/lay-ups`, { from: "2026-10-01" }));
    await ok(owner.patch(at, { notes: "Seen." }, "*"));
    await ok(owner.post(`/v1/schedules/${ids.scheduleId}/put-on`, { vehicleIds: [ids.vehicleId] }));
    const machine = { name: "One more", kind: "other", meterUnit: "km", externalId: "new-1" };
    await ok(owner.post("/v1/vehicles", machine));
    await ok(owner.post("/v1/members", { name: "Alex", email: "alex@example.org" }));
    await ok(owner.post("/v1/webhook-endpoints", { url: "https://hooks.example.org/" }));
    const feed = await ok(owner.post("/v1/calendar-feeds", { name: "All" }));
    await ok(owner.get(new URL(feed.url).pathname));
  });

  test("is swept, followed and audited", async () => {
    const database = databaseOn(connections);
    const outbox = outboxOn(connections);
    const ports = { ids: uuidv7, clock: Date.now, mailDomain: "example.org", onFault: () => {} };
    const deps = { database, outbox, audit: auditStoreOn(connections), ...ports };
    const now = await outbox.time();
    await sweep(now, null, deps);
    await outbox.waiting("mail", now, 1000, null);
    await outbox.health(now);
    await outbox.forgetExpired();
    const webhooks = webhookOutboxOn(connections);
    await webhooks.follow(now, uuidv7, null);
    await webhooks.waiting(now, 500, null);
    await auditPlans(now, deps);
  }, 120_000);

  test("no statement walks through a table for that", () => {
    expect(explained.seen.length).toBeGreaterThan(60);
    const walks = explained.seen.flatMap(({ text, scans }) => {
      if (GOES_THROUGH_ALL.some(([piece]) => text.includes(piece))) return [];
      const long = scans.filter(({ rows }) => rows > MOST_ROWS);
      return long.length === 0 ? [] : [{ text: withoutColumns(text), long }];
    });
    expect(walks).toEqual([]);
  });
});

/** Ids that this account has no row for. */
const NOT_THERE = /^(?:getCalendar|readCalendar|confirm)/;

/** Prisma names each column that it reads; what follows tells the statement. */
function withoutColumns(text: string): string {
  return text
    .replace(/^SELECT "public".*? FROM "public"/s, 'SELECT ... FROM "public"')
    .replaceAll(/\s+/g, " ")
    .slice(0, 1000);
}
