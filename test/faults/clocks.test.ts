import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, describe, expect, test } from "vitest";
import { until } from "../support/until.ts";
import { BACKENDS } from "./support/backends.ts";
import { report } from "./support/report.ts";
import { type Stage, setStage } from "./support/stage.ts";
import { tally } from "./support/tally.ts";

/** A module that is loaded before the program, and moves the clock of its process by so many minutes. */
function clockMoved(minutes: number): string {
  const code = `const real=Date,by=${minutes * 60_000};
    globalThis.Date=class extends real{constructor(...a){super(...(a.length?a:[real.now()+by]))}
      static now(){return real.now()+by}}`;
  return `--import=data:text/javascript,${encodeURIComponent(code)}`;
}

describe.each(BACKENDS)("the clock of a worker, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test.each([
    ["ten minutes ahead", 10],
    ["an hour back", -60],
  ])(
    "%s: none is early, none late, none twice",
    async (what, minutes) => {
      stage = await setStage(backend);
      const began = Date.now();
      await stage.addRiders(12, { fromNowMs: 6_000, everyMs: 700 });
      stage.worker({ NODE_OPTIONS: clockMoved(minutes) });
      stage.worker();
      await until(() => stage.sink.taken.size === 12, 40_000);
      await sleep(1_500);
      const { rows } = await stage.owner.query<{ header: string; planned: number }>(
        `select m.message_id_header as header, (extract(epoch from r.planned_for) * 1000)::float8 as planned
       from reminder r join message m on m.account_id = r.account_id and m.id = r.message_id`,
      );
      const lateness = rows.map(({ header, planned }) => {
        const [at = 0] = stage.sink.taken.get(header) ?? [];
        return at - planned;
      });
      const counted = await tally(stage);
      report({
        fault: `clock of one worker ${what}`,
        ...{ backend, tries: 1, ...counted },
        note: `sent ${Math.round(Math.min(...lateness))} to ${Math.round(Math.max(...lateness))} ms after their moments`,
      });
      expect(Date.now() - began).toBeGreaterThan(6_000);
      expect(Math.min(...lateness)).toBeGreaterThanOrEqual(0);
      expect(Math.max(...lateness)).toBeLessThan(15_000);
      expect(counted).toMatchObject({ due: 12, sent: 12, lost: 0, repeated: 0, strange: 0 });
    },
    90_000,
  );
});
