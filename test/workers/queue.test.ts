import { afterEach, describe, expect, inject, test } from "vitest";
import { type MessageJob, type MessageQueue, messageQueue } from "../../workers/queue.ts";
import { connected } from "../support/connections.ts";
import { redisDatabase } from "../support/redis-database.ts";
import { until } from "../support/until.ts";

const job = (n: number): MessageJob => ({ accountId: "account", messageId: `message-${n}` });

/** The same promises on both backends; Redis is left out where there is none, and that is said. */
const BACKENDS = inject("redisUrl")
  ? (["postgresql", "redis"] as const)
  : (["postgresql"] as const);

describe.each(BACKENDS)("the queue on %s", (backend) => {
  const closing: (() => Promise<void>)[] = [];
  afterEach(async () => {
    for (const close of closing.splice(0).reverse()) await close();
  });

  const open = async (): Promise<MessageQueue> => {
    const stage = await connected();
    closing.push(() => stage.stop());
    const redisUrl = backend === "redis" ? redisDatabase("queue") : undefined;
    const queue = messageQueue({ redisUrl, databaseUrl: stage.database.appUrl }, () => {});
    closing.push(() => queue.close(true));
    return queue;
  };

  test("runs each job that it was woken for", async () => {
    const queue = await open();
    const seen: string[] = [];
    queue.work(async ({ messageId }) => void seen.push(messageId), 2);
    await queue.wake([job(1), job(2), job(3)]);
    await until(() => seen.length === 3);
    expect(seen.sort()).toEqual(["message-1", "message-2", "message-3"]);
  });

  test("does not queue a message twice while it waits", async () => {
    const queue = await open();
    await queue.wake([job(1)]);
    await queue.wake([job(1)]);
    const seen: string[] = [];
    queue.work(async ({ messageId }) => void seen.push(messageId), 1);
    await queue.wake([job(2)]);
    await until(() => seen.includes("message-2"));
    expect(seen.filter((id) => id === "message-1")).toHaveLength(1);
  });

  test("takes a message again after it was tried, whether it went well or not", async () => {
    const queue = await open();
    let runs = 0;
    queue.work(async () => {
      runs += 1;
      if (runs === 1) throw new Error("the mail server hung up");
    }, 1);
    await queue.wake([job(1)]);
    await until(() => runs === 1);
    await until(async () => {
      await queue.wake([job(1)]);
      return runs >= 2;
    });
  });
});
