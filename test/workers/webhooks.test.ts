import { createServer, type IncomingMessage, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import pg from "pg";
import { Webhook } from "standardwebhooks";
import { uuidv7 } from "uuidv7";
import { afterEach, describe, expect, inject, test } from "vitest";
import { createAccount } from "../../src/application/accounts.ts";
import { eventOf } from "../../src/application/deps.ts";
import { deliverWebhook } from "../../src/application/webhooks/deliver-webhook.ts";
import { addEndpoint } from "../../src/application/webhooks/endpoints.ts";
import type { FollowDeps } from "../../src/application/webhooks/follow-events.ts";
import { WebhookSecrets } from "../../src/application/webhooks/webhook-secrets.ts";
import { PEOPLE } from "../../src/content/demo/people.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import { webhookOutboxOn } from "../../src/database/webhook-outbox.ts";
import { signWith } from "../../src/outbound/sign-webhook.ts";
import { webhookSender } from "../../src/outbound/webhook-sender.ts";
import { messageQueue } from "../../workers/queue.ts";
import { repeating } from "../../workers/repeating.ts";
import { deliver, tickWebhooks } from "../../workers/webhooks.ts";
import { connected } from "../support/connections.ts";
import { redisDatabase } from "../support/redis-database.ts";
import { until } from "../support/until.ts";
import { waitingForLocks } from "../support/waiting-for-locks.ts";

const BACKENDS = inject("redisUrl")
  ? (["postgresql", "redis"] as const)
  : (["postgresql"] as const);
const SECRETS = new WebhookSecrets("s".repeat(32));
const UNMEASURED = { attempted: () => {} };

const closing: (() => Promise<unknown> | unknown)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

type Answer = (response: ServerResponse, nth: number) => void;

interface Posted {
  id: string;
  body: string;
  headers: IncomingMessage["headers"];
}

/** A receiver on this machine that keeps what it is posted and answers as it is told. */
async function receiver(answer: Answer = (response) => response.end()) {
  const posted: Posted[] = [];
  const server = createServer((request, response) => {
    let body = "";
    request.on("data", (chunk) => {
      body += chunk;
    });
    request.on("end", () => {
      posted.push({ id: String(request.headers["webhook-id"]), body, headers: request.headers });
      answer(response, posted.length);
    });
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  closing.push(() => {
    server.closeAllConnections();
    server.close();
  });
  const { port } = server.address() as AddressInfo;
  return { posted, url: `http://127.0.0.1:${port}/hook` };
}

/** An account with an endpoint, whose log grows by so many events at a time. */
async function scene(url: string) {
  const { connections, database, stop } = await connected();
  closing.push(stop);
  const deps: FollowDeps = {
    database: databaseOn(connections),
    outbox: outboxOn(connections),
    webhookOutbox: webhookOutboxOn(connections),
    webhookSender: webhookSender({ allowPrivate: true, timeoutMs: 2_000 }),
    sign: signWith(SECRETS),
    ...{ ids: uuidv7, clock: Date.now, mailDomain: "example.org" },
    ...{ webhookLeaseMs: 6_000, longestDeliveryMs: 2_000 },
  };
  const accountId = uuidv7();
  const caller = { accountId, keyId: "test", scopes: ["admin"] as const };
  const add = (address: string) =>
    deps.database.asAccount(accountId, (tx) =>
      addEndpoint(
        tx,
        caller,
        { url: address, description: null, eventTypes: ["member.changed"] },
        deps,
      ),
    );
  await deps.database.asAccount(accountId, async (tx) => {
    const input = { name: "Invented riders", sandbox: false, clock: null, owner: PEOPLE[0] };
    await createAccount(tx, input, { publicId: accountId, secretHash: new Uint8Array(32) }, deps);
  });
  const endpoint = await add(url);
  const happen = (count: number) =>
    deps.database.asAccount(accountId, async (tx) => {
      const events = Array.from({ length: count }, (_, nth) =>
        eventOf(deps, Date.now(), "member.changed", { resourceId: accountId }, { nth }),
      );
      await tx.machine.write({ events }, Date.now());
      return events.map(({ id }) => id);
    });
  const follow = async () => {
    await settled({ accountId, ownerUrl: database.ownerUrl }, 1);
    await deps.webhookOutbox.follow(Date.now(), uuidv7, null);
  };
  const rows = () =>
    deps.database.asAccount(accountId, async (tx) => {
      const { items } = await tx.messages.list({ kind: "webhook" }, { limit: 200, after: null });
      return items;
    });
  /** Lets what waits for its next attempt be tried now, as if that time had passed. */
  const passTime = async () => {
    const client = await connections.pool.connect();
    await client.query(
      `begin; select set_config('forewheel.account', '${accountId}', true);
       update message set next_attempt_at = now() where status = 'waiting'; commit`,
    );
    client.release();
  };
  return { deps, accountId, endpoint, add, happen, follow, rows, passTime, ...database };
}

function work(
  { deps, appUrl }: Awaited<ReturnType<typeof scene>>,
  backend: (typeof BACKENDS)[number],
) {
  const redisUrl = backend === "redis" ? redisDatabase("webhooks") : undefined;
  const queue = messageQueue({ redisUrl, databaseUrl: appUrl }, () => {}, "deliveries");
  closing.push(() => queue.close(true));
  queue.work((job) => deliver(job, deps, UNMEASURED), 4);
  const ticking = repeating(
    100,
    () => tickWebhooks(deps, queue),
    () => {},
  );
  closing.push(() => ticking.stop());
}

/** Waits until so many events can be followed: other tests' transactions hold that up for a while. */
async function settled(
  { accountId, ownerUrl }: { accountId: string; ownerUrl: string },
  count: number,
): Promise<void> {
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  const text = `select from event
    where account_id = $1 and xid < pg_snapshot_xmin(pg_current_snapshot())`;
  await until(async () => Number((await owner.query(text, [accountId])).rowCount) >= count);
  await owner.end();
}

describe.each(BACKENDS)("events on their way to an endpoint, queue on %s", (backend) => {
  test("each arrives once, in full, with a signature that holds", async () => {
    const { posted, url } = await receiver();
    const stage = await scene(url);
    const ids = await stage.happen(40);
    work(stage, backend);
    await until(() => posted.length >= 40, 20_000);
    await until(async () => (await stage.rows()).every(({ status }) => status === "sent"));
    expect(posted.map(({ id }) => id).sort()).toEqual([...ids].sort());
    const webhook = new Webhook(SECRETS.of(stage.endpoint));
    for (const { body, headers, id } of posted) {
      const event = webhook.verify(body, headers as Record<string, string>) as { id: string };
      expect(event.id).toBe(id);
    }
  });

  test("what fails comes again under the same webhook-id until it is taken", async () => {
    const { posted, url } = await receiver((response, nth) => {
      response.writeHead(nth <= 2 ? 500 : 204).end();
    });
    const stage = await scene(url);
    const [id] = await stage.happen(1);
    work(stage, backend);
    await until(() => posted.length === 1);
    await until(async () => (await stage.rows())[0]?.status === "waiting");
    const [first] = await stage.rows();
    expect(first).toMatchObject({ attempts: 1, lastAnswer: "500" });
    // Standard Webhooks 1.0.0, "Deliverability and reliability": 5 s, then 5 min.
    expect(Number(first?.nextAttemptAt) - Number(first?.updatedAt)).toBe(5_000);
    await stage.passTime();
    await until(() => posted.length === 2);
    await until(async () => (await stage.rows())[0]?.attempts === 2);
    await until(async () => (await stage.rows())[0]?.status === "waiting");
    const [second] = await stage.rows();
    expect(Number(second?.nextAttemptAt) - Number(second?.updatedAt)).toBe(300_000);
    await stage.passTime();
    await until(async () => (await stage.rows())[0]?.status === "sent");
    expect(posted.map((one) => one.id)).toEqual([id, id, id]);
  });

  test("one endpoint that hangs does not hold up another", async () => {
    const hangs = await receiver(() => {});
    const { posted, url } = await receiver();
    const stage = await scene(hangs.url);
    await stage.add(url);
    await stage.happen(30);
    work(stage, backend);
    await until(() => posted.length === 30, 15_000);
    expect(hangs.posted.length).toBeLessThanOrEqual(4);
  });
});

describe("following an account while it is deleted", () => {
  test("loses the deadlock with the deletion, is tried again, and has lost nothing", async () => {
    const stage = await scene("https://hooks.example.org");
    const { deps, accountId, happen, ownerUrl } = stage;
    await happen(3);
    await settled(stage, 3);
    const follow = () => deps.webhookOutbox.follow(Date.now(), uuidv7, null);
    const deletion = new pg.Client({ connectionString: ownerUrl });
    await deletion.connect();
    closing.push(() => deletion.end());
    // PostgreSQL ends a deadlock at whoever looks for it first: after a second, by default.
    await deletion.query("set deadlock_timeout = '20s'");
    await deletion.query("begin");
    await deletion.query("select from account where id = $1 for update", [accountId]);
    const met = follow();
    await until(async () => (await waitingForLocks(deletion)).length === 1);
    await deletion.query("delete from webhook_endpoint where account_id = $1", [accountId]);
    expect(await met).toBe(0);
    await deletion.query("rollback");
    expect(await follow()).toBeGreaterThanOrEqual(3);
  });
});

describe("deliveries", () => {
  test("410 disables the endpoint, and what waits for it fails with the reason", async () => {
    const { posted, url } = await receiver((response) => response.writeHead(410).end());
    const stage = await scene(url);
    await stage.happen(3);
    work(stage, "postgresql");
    await until(
      async () => (await stage.rows()).every(({ status }) => status === "failed"),
      15_000,
    );
    const rows = await stage.rows();
    expect(rows).toHaveLength(3);
    expect(rows.map(({ lastAnswer }) => lastAnswer).join()).toContain("410");
    const endpoint = await stage.deps.database.asAccount(stage.accountId, (tx) =>
      tx.webhookEndpoints.find(stage.endpoint.id),
    );
    expect(endpoint).toMatchObject({ disabledWhy: "It answered 410 Gone." });
    const before = posted.length;
    await stage.happen(1);
    await new Promise((resolve) => setTimeout(resolve, 500));
    expect(posted).toHaveLength(before);
  });

  test("after ten attempts one is failed and visible", async () => {
    const { posted, url } = await receiver((response) => response.writeHead(503).end("busy"));
    const stage = await scene(url);
    await stage.happen(1);
    await stage.follow();
    const [{ id } = { id: "" }] = await stage.rows();
    for (let nth = 0; nth < 12; nth += 1) {
      await stage.passTime();
      await deliverWebhook(stage.accountId, id, await stage.deps.outbox.time(), stage.deps);
    }
    expect(posted).toHaveLength(10);
    expect((await stage.rows())[0]).toMatchObject({
      status: "failed",
      attempts: 10,
      lastAnswer: "503 busy",
    });
  });

  test("a process that dies between the answer and the note delivers once more, the same", async () => {
    const { posted, url } = await receiver();
    const stage = await scene(url);
    const [id] = await stage.happen(1);
    await stage.follow();
    const [{ id: messageId } = { id: "" }] = await stage.rows();
    const dying = new Error("the process ends here");
    const sender = stage.deps.webhookSender;
    const once = {
      ...stage.deps,
      webhookLeaseMs: 300,
      longestDeliveryMs: 50,
      webhookSender: {
        relays: true,
        async send(request: Parameters<typeof sender.send>[0]) {
          await sender.send(request);
          throw dying;
        },
      },
    };
    const now = await stage.deps.outbox.time();
    await expect(deliverWebhook(stage.accountId, messageId, now, once)).rejects.toBe(dying);
    work(stage, "postgresql");
    await until(async () => (await stage.rows())[0]?.status === "sent", 10_000);
    expect(posted.map((one) => one.id)).toEqual([id, id]);
  });

  test("four followers at once make each delivery once", async () => {
    const { url } = await receiver();
    const stage = await scene(url);
    await stage.add(`${url}/two`);
    await stage.happen(300);
    await settled(stage, 300);
    const follow = async () => {
      for (;;) {
        const read = await stage.deps.webhookOutbox.follow(Date.now(), uuidv7, null);
        if (read === 0) return;
      }
    };
    await Promise.all([follow(), follow(), follow(), follow()]);
    await follow();
    const count = await stage.deps.database.asAccount(stage.accountId, async (tx) => {
      let total = 0;
      for (let after = null, more = true; more; ) {
        const page = await tx.messages.list({ kind: "webhook" }, { limit: 200, after });
        total += page.items.length;
        after = page.next as null;
        more = page.next !== null;
      }
      return total;
    });
    expect(count).toBe(600);
  });
});
