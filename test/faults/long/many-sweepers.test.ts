import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { requireRunning } from "../support/program.ts";
import { report } from "../support/report.ts";
import { type Stage, setStage } from "../support/stage.ts";
import { settled, tally } from "../support/tally.ts";

const DUE = 10_000;

describe.each(BACKENDS)("several workers that sweep at once, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test.each([2, 4])("%i of them make exactly one message of each reminder", async (count) => {
    stage = await setStage(backend);
    // Nothing is sent meanwhile: only the sweeps are looked at.
    await stage.owner.query(
      "update relay set down_since = now(), probe_at = now() + interval '1 hour'",
    );
    await stage.addRiders(DUE);
    const workers = Array.from({ length: count }, () => stage.worker());
    await until(async () => (await gathered()).reminders > 0, 60_000);
    const begun = Date.now();
    await until(async () => (await gathered()).reminders === DUE, 60_000);
    const sweptMs = Date.now() - begun;
    requireRunning(...workers);
    const made = await gathered();
    const note = `${made.messages} messages of ${made.members} riders; ${sweptMs} ms from the first to the last`;
    report({
      fault: `${count} sweepers at once`,
      backend,
      tries: 1,
      due: DUE,
      sent: 0,
      lost: 0,
      repeated: 0,
      note,
    });
    expect(made).toEqual({ reminders: DUE, messages: DUE, members: DUE });
  });

  async function gathered() {
    const { rows } = await stage.owner.query<Record<"reminders" | "messages" | "members", number>>(
      `select (select count(*)::int from reminder where message_id is not null) as reminders,
              count(*)::int as messages, count(distinct member_id)::int as members from message`,
    );
    return rows[0] ?? { reminders: 0, messages: 0, members: 0 };
  }
});

describe.each(BACKENDS)("many reminders that come due at once, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("are each sent once by two workers", async () => {
    stage = await setStage(backend);
    await stage.addRiders(DUE);
    const begun = Date.now();
    const workers = [stage.worker(), stage.worker()];
    await settled(stage, 280_000);
    const seconds = (Date.now() - begun) / 1000;
    requireRunning(...workers);
    const counted = await tally(stage);
    const note = `${seconds.toFixed(1)} s, ${(counted.sent / seconds).toFixed(0)} a second, workers' start included`;
    report({ fault: "10,000 due at once", backend, tries: 1, ...counted, note });
    expect(counted).toMatchObject({ due: DUE, sent: DUE, lost: 0, repeated: 0, strange: 0 });
  });
});
