import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

const AT_ONCE = 24;

/** Different things about one machine, posted at once: each is written, none ends in a deadlock. */
describe("many posts about one machine at once", () => {
  let service: RunningService;
  let club: Awaited<ReturnType<typeof sandbox>>;
  let at: string;
  beforeAll(async () => {
    service = await startService();
    club = await sandbox(service, "2026-04-01T08:00:00Z");
    const machine = { name: "Single 150", kind: "motorcycle", meterUnit: "km" };
    at = `/v1/vehicles/${(await club.post("/v1/vehicles", machine)).body.id}`;
  });
  afterAll(() => service.stop());

  const BODIES: Record<string, (n: number) => object> = {
    "lay-ups": (n) => ({ from: `20${30 + n}-11-01`, to: `20${31 + n}-03-01` }),
    tasks: (n) => ({ title: `Task ${n}`, every: { months: 6 + n }, lastWork: "never" }),
    readings: (n) => ({ value: 100 + n }),
    "work-records": (n) => ({
      doneAt: `2026-03-${String(n + 1).padStart(2, "0")}`,
      by: { name: "Toni" },
    }),
    "meter-changes": (n) => ({
      at: `2025-01-${String(n + 1).padStart(2, "0")}T08:00:00Z`,
      after: 0,
    }),
  };

  test.each(Object.keys(BODIES))("%s", async (what) => {
    const answers = await Promise.all(
      Array.from({ length: AT_ONCE }, (_, n) => club.post(`${at}/${what}`, BODIES[what]?.(n))),
    );
    expect(answers.map(({ status }) => status)).toEqual(Array(AT_ONCE).fill(201));
  });
});
