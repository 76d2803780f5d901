import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { type Program, requireRunning } from "../support/program.ts";
import { report } from "../support/report.ts";
import { type Stage, setStage } from "../support/stage.ts";
import { settled, tally } from "../support/tally.ts";

const DUE = 10_000;
/** Of these so many are also sent: the rest would only take its time. */
const SENT = 2_000;

describe.each(BACKENDS)("10,000 reminders that come due at once, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("are gathered by 2 and by 4 workers into one message each; what is sent is sent once", async () => {
    stage = await setStage(backend);
    await stage.addRiders(DUE);
    await holdMailBack(true);
    for (const sweepers of [2, 4]) {
      await sweepWith(sweepers);
      await stage.owner.query("update reminder set message_id = null");
      await stage.owner.query("delete from message");
    }
    await stage.owner.query(
      `update reminder set planned_for = now() + interval '1 day'
       where id in (select id from reminder order by id offset ${SENT})`,
    );
    await holdMailBack(false);
    await sendWith(2);
  });

  async function sweepWith(sweepers: number): Promise<void> {
    const workers = Array.from({ length: sweepers }, () => stage.worker());
    await until(async () => (await gathered()).reminders > 0, 60_000);
    const begun = Date.now();
    await until(async () => (await gathered()).reminders === DUE, 60_000);
    const sweptMs = Date.now() - begun;
    const made = await gathered();
    await end(workers);
    const note = `${made.messages} messages of ${made.members} riders; ${sweptMs} ms from the first to the last`;
    const none = { sent: 0, lost: 0, repeated: 0 };
    report({ fault: `${sweepers} sweepers at once`, backend, tries: 1, due: DUE, ...none, note });
    expect(made).toEqual({ reminders: DUE, messages: DUE, members: DUE });
  }

  async function sendWith(count: number): Promise<void> {
    const begun = Date.now();
    const workers = Array.from({ length: count }, () => stage.worker());
    await settled(stage, 150_000);
    const seconds = (Date.now() - begun) / 1000;
    const counted = await tally(stage);
    await end(workers);
    const note = `${seconds.toFixed(1)} s, ${(counted.sent / seconds).toFixed(0)} a second, the workers' start included`;
    report({ fault: "many due at once", backend, tries: 1, ...counted, note });
    expect(counted).toMatchObject({ due: SENT, sent: SENT, lost: 0, repeated: 0, strange: 0 });
  }

  async function end(workers: readonly Program[]): Promise<void> {
    requireRunning(...workers);
    for (const worker of workers) worker.signal("SIGTERM");
    await Promise.all(workers.map(({ ended }) => ended));
  }

  /** While the mail server is taken to be down, workers sweep and send nothing. */
  async function holdMailBack(back: boolean): Promise<void> {
    await stage.owner.query(
      `update relay set down_since = case when $1 then now() end,
         probe_at = case when $1 then now() + interval '1 hour' end`,
      [back],
    );
  }

  async function gathered() {
    const { rows } = await stage.owner.query<Record<"reminders" | "messages" | "members", number>>(
      `select (select count(*)::int from reminder where message_id is not null) as reminders,
              count(*)::int as messages, count(distinct member_id)::int as members from message`,
    );
    return rows[0] ?? { reminders: 0, messages: 0, members: 0 };
  }
});
