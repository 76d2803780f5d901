import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { report } from "../support/report.ts";
import type { Conduct } from "../support/smtp-sink.ts";
import { type Stage, setStage } from "../support/stage.ts";
import { passRetryTime, settled, states, tally } from "../support/tally.ts";

const DUE = 24;

describe.each(BACKENDS)("a mail server that misbehaves, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test.each<[string, Conduct]>([
    ["refuses to be connected to", { kind: "refuses" }],
    ["hangs at its greeting", { kind: "hangsAtGreeting" }],
  ])(
    "that %s is left alone by all workers, and nothing is lost or counted as tried",
    async (what, conduct) => {
      await begin(conduct, 2);
      await until(isTakenToBeDown, 60_000);
      // What was under way when the third attempt failed still comes to its end.
      await until(async () => (await states(stage)).sending === undefined, 30_000);
      const connected = stage.sink.connected.length;
      await sleep(4_000);
      expect(stage.sink.connected.length).toBe(connected);
      const tried = await stage.owner.query("select sum(attempts)::int as n from message");
      await recover();
      const counted = await tally(stage);
      const note = `${connected} connections before all held back, ${tried.rows[0].n} attempts counted`;
      report({ fault: `SMTP ${what}`, backend, tries: 1, ...counted, note });
      expect(tried.rows[0].n).toBe(0);
      expect(counted).toMatchObject({ due: DUE, sent: DUE, lost: 0, repeated: 0, strange: 0 });
    },
  );

  test("that breaks off after the final dot gets the message again, under the same Message-ID", async () => {
    await begin({ kind: "breaksAfterDot" });
    await until(async () => (await states(stage)).unknown === DUE, 20_000);
    await recover();
    const counted = await tally(stage);
    report({
      fault: "SMTP breaks after the dot",
      backend,
      tries: DUE,
      ...counted,
      note: "each once more",
    });
    expect(counted).toMatchObject({ due: DUE, sent: DUE, lost: 0, repeated: DUE, strange: 0 });
    expect(await states(stage)).toEqual({ sent: DUE });
  });

  test.each([
    ["recipient", 451, "4.3.2 the system is busy"],
    ["data", 452, "4.2.2 the mailbox is full"],
  ] as const)("that puts off at the %s with %i is tried again later", async (at, code, text) => {
    await begin({ kind: "says", at, code, text });
    await until(async () => (await answers()).length === DUE, 20_000);
    expect(new Set(await answers())).toEqual(new Set([`${code} ${text}`]));
    expect(await states(stage)).toEqual({ waiting: DUE });
    await recover();
    const counted = await tally(stage);
    report({ fault: `SMTP ${code} at the ${at}`, backend, tries: DUE, ...counted, note: "" });
    expect(counted).toMatchObject({ due: DUE, sent: DUE, lost: 0, repeated: 0, strange: 0 });
  });

  test("that refuses by policy: failed in the server's words, and the address stays", async () => {
    const text = "5.7.1 this content is not taken here";
    await begin({ kind: "says", at: "data", code: 554, text });
    await until(async () => (await states(stage)).failed === DUE, 20_000);
    const counted = await tally(stage);
    report({
      fault: "SMTP 554 by policy",
      backend,
      tries: DUE,
      ...counted,
      note: `${counted.failed} failed in its words`,
    });
    expect(counted).toMatchObject({ due: DUE, sent: 0, failed: DUE, lost: 0, strange: 0 });
    expect(new Set(await answers())).toEqual(new Set([`554 ${text}`]));
    expect(await suppressed()).toEqual([]);
  });

  test("that knows no such mailbox: failed, the address left alone, the account's owner told", async () => {
    const text = "5.1.1 no such mailbox";
    await begin({ kind: "says", at: "recipient", code: 550, text, to: "rider" }, 1, addOwners);
    await until(async () => (await states(stage)).sent === DUE, 30_000);
    const counted = await tally(stage);
    const note = `${counted.failed} failed in its words, ${counted.sent} owners told`;
    report({ fault: "SMTP 550 no such mailbox", backend, tries: DUE, ...counted, note });
    expect(counted).toMatchObject({ due: DUE, sent: DUE, failed: DUE, lost: 0, repeated: 0 });
    expect(await states(stage)).toEqual({ failed: DUE, sent: DUE });
    expect(await suppressed()).toEqual(new Array(DUE).fill(`550 ${text}`));
  });

  /** Reminders are due and workers run, with the mail server as it is told to be. */
  async function begin(conduct: Conduct, workers = 1, prepare = async () => {}): Promise<void> {
    stage = await setStage(backend);
    await stage.sink.behave(conduct);
    await stage.addRiders(DUE);
    await prepare();
    for (let n = 0; n < workers; n += 1) stage.worker();
  }

  /** The server accepts again, and the times for which workers wait pass. */
  async function recover(): Promise<void> {
    await stage.sink.behave({ kind: "accepts" });
    await stage.owner.query("update relay set probe_at = now() where down_since is not null");
    await passRetryTime(stage);
    await settled(stage, 30_000);
  }

  /** Each account gets an owner; who was it becomes a rider. */
  async function addOwners(): Promise<void> {
    await stage.owner.query("update member set role = 'rider'");
    await stage.owner.query(
      `insert into member select (jsonb_populate_record(null::member, to_jsonb(m) || jsonb_build_object(
         'id', gen_random_uuid(), 'role', 'owner', 'email', 'owner@example.org'))).* from member m`,
    );
  }

  async function isTakenToBeDown(): Promise<boolean> {
    const { rowCount } = await stage.owner.query("select from relay where down_since is not null");
    return rowCount === 1;
  }

  async function answers(): Promise<string[]> {
    const { rows } = await stage.owner.query<{ answer: string }>(
      "select last_answer as answer from message where last_answer is not null",
    );
    return rows.map(({ answer }) => answer);
  }

  async function suppressed(): Promise<string[]> {
    const { rows } = await stage.owner.query<{ answer: string }>(
      "select email_suppressed as answer from member where email_suppressed is not null",
    );
    return rows.map(({ answer }) => answer);
  }
});
