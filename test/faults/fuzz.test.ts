import { randomInt } from "node:crypto";
import { afterAll, beforeAll, expect, test } from "vitest";
import { faultsInRows } from "../../src/commands/fuzz/rows.ts";
import { runFuzz } from "../../src/commands/fuzz/run-fuzz.ts";
import { type RunningService, startService } from "../support/service.ts";
import { report } from "./support/report.ts";

const REQUESTS = Number(process.env.FUZZ_REQUESTS ?? 10_000);
const SEED = Number(process.env.FUZZ_SEED ?? randomInt(2 ** 31));

let service: RunningService;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service.stop());

test("ten thousand requests made from the document find nothing that is not in it", async () => {
  const { tally, accountIds, seconds } = await runFuzz({
    ...{ origin: service.baseUrl, operatorToken: service.operatorToken },
    ...{ requests: REQUESTS, seed: SEED, connections: 8 },
  });
  const inRows = await faultsInRows(service.ownerUrl, accountIds);
  report({
    fault: "requests from the document, valid, nearly so and rotten",
    ...{ backend: "-", tries: tally.requests, due: 0, sent: 0, lost: 0, repeated: 0 },
    note: `seed ${SEED}: ${tally.rows.size} operations, ${tally.findings.size + inRows.length} findings, ${Math.round(seconds)} s`,
  });
  expect(tally.findingLines(), `seed ${SEED}`).toEqual([]);
  expect(inRows, `seed ${SEED}`).toEqual([]);
  expect(tally.neverDone(), "operations that no valid request reached").toEqual([]);
  expect((await fetch(`${service.baseUrl}/readyz`)).status).toBe(200);
}, 600_000);
