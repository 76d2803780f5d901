import { setTimeout as sleep } from "node:timers/promises";
import pg from "pg";
import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { report } from "../support/report.ts";
import { type Stage, setStage } from "../support/stage.ts";
import { settled } from "../support/tally.ts";

/** Work on the database from outside it, with every session on it ended first. */
async function fromOutside(ownerUrl: string, statements: (name: string) => string[]) {
  const url = new URL(ownerUrl);
  const name = url.pathname.slice(1);
  url.pathname = "/postgres";
  const client = new pg.Client({ connectionString: url.href });
  await client.connect();
  try {
    for (const statement of statements(name)) {
      await client.query(
        "select pg_terminate_backend(pid) from pg_stat_activity where datname = any($1)",
        [[name, `${name}_copy`]],
      );
      await client.query(statement);
    }
  } finally {
    await client.end();
  }
}

const copy = (name: string) => [`create database ${name}_copy template ${name}`];
const restore = (name: string) => [
  `drop database ${name}`,
  `alter database ${name}_copy rename to ${name}`,
];

describe.each(BACKENDS)("a copy of the database that was restored, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("mails nothing again: the worker holds, says how to release it, and then goes on", async () => {
    stage = await setStage(backend);
    await stage.addRiders(20);
    await fromOutside(stage.ownerUrl, copy);
    const first = stage.worker();
    await until(() => stage.sink.taken.size === 20);
    await settled(stage, 10_000);
    await sleep(1_500);
    first.signal("SIGTERM");
    await first.ended;
    await fromOutside(stage.ownerUrl, restore);

    const second = stage.worker();
    await until(() => second.output().includes("--release-hold"));
    await sleep(3_000);
    const held = await stage.owner.query("select held_why from worker_position");
    expect(held.rows[0].held_why).toContain("restored copy");
    const again = () =>
      [...stage.sink.taken.values()].reduce((sum, times) => sum + times.length - 1, 0);
    expect(again()).toBe(0);

    const unsaid = stage.worker({}, ["--release-hold"]);
    expect(await unsaid.ended).toBe(1);
    expect(unsaid.output()).toContain("--sent-until");
    const { rows } = await stage.owner.query(
      'select to_char(now(), \'YYYY-MM-DD"T"HH24:MI:SSOF":00"\') as now',
    );
    const release = stage.worker({}, ["--release-hold", "--sent-until", rows[0].now]);
    expect(await release.ended).toBe(0);
    expect(release.output()).toContain("20 reminders");

    second.signal("SIGTERM");
    await second.ended;
    await stage.addRiders(5, { fromNowMs: 0, everyMs: 0 });
    stage.worker();
    await until(() => stage.sink.taken.size === 25);
    await sleep(2_000);
    report({
      fault: "an older copy of the database restored",
      backend,
      tries: 1,
      ...{ due: 25, sent: stage.sink.taken.size, lost: 25 - stage.sink.taken.size },
      repeated: again(),
      note: "20 sent before, 5 after the release",
    });
    expect(again()).toBe(0);
    const states = await stage.owner.query(
      "select status, count(*)::int as n from reminder group by 1",
    );
    expect(states.rows).toContainEqual({ status: "sent", n: 25 });
  }, 90_000);
});
