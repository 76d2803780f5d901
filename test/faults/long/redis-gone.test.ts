import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { quantileMs, steadyPosting } from "../support/posting.ts";
import { report } from "../support/report.ts";
import { type Stage, setStage } from "../support/stage.ts";
import { settled, tally, untilAllDue } from "../support/tally.ts";

const AWAY_MS = 60_000;
const BEFORE_MS = 8_000;

describe.runIf(BACKENDS.includes("redis"))("the queue's Redis", () => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test.each([
    ["is flushed", (redis: Redis) => redis.flush()],
    [
      "is restarted, empty",
      async (redis: Redis) => {
        await redis.leave();
        await redis.comeBack();
      },
    ],
  ] as const)("%s under load: nothing is lost or repeated", async (what, happens) => {
    stage = await setStage("redis");
    await stage.sink.behave({ kind: "accepts", afterMs: 50 });
    await stage.addRiders(240);
    const worker = stage.worker();
    for (const reached of [30, 90, 150]) {
      await until(() => stage.sink.taken.size >= reached, 60_000);
      await happens(redisOf(stage));
    }
    const resumedMs = await settled(stage, 90_000);
    const counted = await tally(stage);
    const fault = `Redis ${what}`;
    const note = `all sent ${resumedMs} ms after the last time`;
    report({ fault, backend: "redis", tries: 3, ...counted, note });
    expect(worker.isRunning).toBe(true);
    expect(counted).toMatchObject({ due: 240, sent: 240, lost: 0, repeated: 0, strange: 0 });
    expect(resumedMs).toBeLessThan(60_000);
  });

  test("is gone for a minute: mail waits, the API answers as fast as before", async () => {
    stage = await setStage("redis");
    const api = await stage.api();
    const posting = await steadyPosting(api, 50);
    await sleep(3_000 + BEFORE_MS);
    await stage.addRiders(300, { fromNowMs: 0, everyMs: 200 });
    const worker = stage.worker();
    await until(() => stage.sink.taken.size > 10, 60_000);
    const left = Date.now();
    await redisOf(stage).leave();
    await sleep(AWAY_MS);
    const back = Date.now();
    await redisOf(stage).comeBack();
    await posting.stop();
    await untilAllDue(stage, 300);
    await settled(stage, 90_000);
    const resumedMs = Date.now() - back;
    const counted = await tally(stage);
    const before = posting.posted.filter(
      ({ begunAt }) => begunAt > left - BEFORE_MS - 3_000 && begunAt < left,
    );
    const during = posting.posted.filter(({ begunAt }) => begunAt > left && begunAt < back);
    const figures = [before, during].map(
      (part) => `${quantileMs(part, 0.5)} / ${quantileMs(part, 0.99)}`,
    );
    const note = `posts ms p50 / p99: ${figures[0]} before, ${figures[1]} while gone (${during.length}); all sent ${resumedMs} ms after its return`;
    report({ fault: "Redis gone for 60 s", backend: "redis", tries: 1, ...counted, note });
    expect(worker.isRunning && api.isRunning).toBe(true);
    expect(new Set(posting.posted.map(({ status }) => status))).toEqual(new Set([201]));
    expect(counted).toMatchObject({ due: 300, sent: 300, lost: 0, repeated: 0, strange: 0 });
    expect(resumedMs).toBeLessThan(60_000);
    // Waiting for Redis would cost seconds; what the machine's other work costs is not the question.
    expect(quantileMs(during, 0.5)).toBeLessThan(2 * quantileMs(before, 0.5) + 25);
    expect(quantileMs(during, 0.99)).toBeLessThan(2 * quantileMs(before, 0.99) + 250);
  });

  test("stands still for ten seconds: the API goes on without it", async () => {
    stage = await setStage("redis");
    const api = await stage.api();
    const posting = await steadyPosting(api, 50);
    await sleep(2_000);
    const stalled = Date.now();
    redisOf(stage).stall();
    await sleep(10_000);
    const wentOn = Date.now();
    redisOf(stage).goOn();
    await posting.stop();
    const during = posting.posted.filter(({ begunAt }) => begunAt > stalled && begunAt < wentOn);
    const note = `posts ms p50 / p99: ${quantileMs(during, 0.5)} / ${quantileMs(during, 0.99)} (${during.length})`;
    const counted = await tally(stage);
    report({ fault: "Redis stands still", backend: "redis", tries: 1, ...counted, note });
    // Each process counts for itself meanwhile, and may find that one caller posts too fast.
    expect([...new Set(during.map(({ status }) => status))].filter((one) => one !== 429)).toEqual([
      201,
    ]);
    expect(during.length).toBeGreaterThan(100);
    expect(quantileMs(during, 0.99)).toBeLessThan(1_000);
  });
});

type Redis = NonNullable<Stage["redis"]>;

function redisOf({ redis }: Stage): Redis {
  if (!redis) throw new Error("This stage has no Redis.");
  return redis;
}
