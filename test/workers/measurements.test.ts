import { once } from "node:events";
import type { AddressInfo } from "node:net";
import { afterEach, describe, expect, test } from "vitest";
import type { Health } from "../../src/application/outbox-ports.ts";
import { ALARMS } from "../../src/content/alarms.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { type Measurements, measurements } from "../../workers/measurements.ts";
import { watchServer } from "../../workers/watch.ts";
import { connected } from "../support/connections.ts";

const HEALTHY: Health = {
  channels: { mail: { waiting: 0, oldestMs: 0 }, webhook: { waiting: 0, oldestMs: 0 } },
  ...{ unknown: 0, overlooked: 0, toReplan: 0, relayDown: false, onHold: false },
  ...{ auditedAt: null, auditFound: null },
};

const closing: (() => Promise<unknown> | unknown)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

async function watched(
  told: Partial<{ lastBeat: number; ready: boolean; measured: Measurements }>,
) {
  const server = watchServer({
    measured: told.measured ?? measurements(async () => HEALTHY),
    lastBeat: () => told.lastBeat ?? performance.now(),
    ready: async () => told.ready ?? true,
  }).listen(0, "127.0.0.1");
  await once(server, "listening");
  closing.push(() => server.close());
  const { port } = server.address() as AddressInfo;
  return (path: string, method = "GET") => fetch(`http://127.0.0.1:${port}${path}`, { method });
}

describe("what a worker tells whoever watches it", () => {
  test("every measurement that an alarm reads is told, and every gauge has its alarm", async () => {
    const measured = measurements(async () => HEALTHY);
    const names = (await measured.registry.getMetricsAsJSON()).map(({ name }) => name);
    const alarms = ALARMS.map(({ when }) => when).join("\n");
    const read = [...alarms.matchAll(/forewheel_[a-z_]+/g)].map(([name]) =>
      name.replace(/_(count|bucket)$/, ""),
    );
    expect([...new Set(read)].filter((name) => !names.includes(name))).toEqual([]);
    expect(names.filter((name) => !read.includes(name))).toEqual([]);
  });

  test("what the database tells of delivery", async () => {
    const measured = measurements(
      async () => ({
        ...HEALTHY,
        channels: { mail: { waiting: 3, oldestMs: 90_000 }, webhook: { waiting: 0, oldestMs: 0 } },
        ...{ overlooked: 2, relayDown: true, auditedAt: 1_000 },
      }),
      () => 61_000,
    );
    const text = await (await (await watched({ measured }))("/metrics")).text();
    expect(text).toContain('forewheel_waiting_messages{channel="mail"} 3');
    expect(text).toContain('forewheel_oldest_unsent_seconds{channel="mail"} 90');
    expect(text).toContain("forewheel_overlooked_reminders 2");
    expect(text).toContain("forewheel_mail_server_down 1");
    expect(text).toContain("forewheel_audit_age_seconds 60");
    expect(text).toContain("forewheel_database_answers 1");
  });

  test("what was sent, failed and repeated, and how late", async () => {
    const measured = measurements(async () => HEALTHY);
    measured.attempted("mail", { result: "sent", repeated: true, lagMs: 1_500 });
    measured.attempted("mail", { result: "failed", repeated: false, lagMs: 10 });
    measured.attempted("mail", { result: "notClaimed", repeated: false, lagMs: 0 });
    const text = await measured.registry.metrics();
    expect(text).toContain('forewheel_attempts_total{channel="mail",result="sent"} 1');
    expect(text).toContain('forewheel_attempts_total{channel="mail",result="failed"} 1');
    expect(text).not.toContain("notClaimed");
    expect(text).toContain('forewheel_repeated_total{channel="mail"} 1');
    expect(text).toContain('forewheel_lag_seconds_sum{channel="mail"} 1.5');
  });

  test("a database that does not answer is a figure, not an error", async () => {
    const measured = measurements(() => Promise.reject(new Error("gone")));
    const answer = await (await watched({ measured }))("/metrics");
    expect(answer.status).toBe(200);
    expect(await answer.text()).toContain("forewheel_database_answers 0");
  });

  test("/livez and /readyz say whether it beats and takes work", async () => {
    const well = await watched({});
    expect((await well("/livez")).status).toBe(200);
    expect((await well("/readyz")).status).toBe(200);
    expect((await well("/elsewhere")).status).toBe(404);
    expect((await well("/metrics", "POST")).status).toBe(404);
    const ill = await watched({ lastBeat: performance.now() - 180_000, ready: false });
    expect((await ill("/livez")).status).toBe(503);
    expect((await ill("/readyz")).status).toBe(503);
  });

  test("the database's own counts begin at nothing", async () => {
    const { connections, stop } = await connected();
    closing.push(stop);
    const outbox = outboxOn(connections);
    expect(await outbox.health(await outbox.time())).toEqual(HEALTHY);
  });
});
