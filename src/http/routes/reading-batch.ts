import type { Replay } from "../../application/ports.ts";
import { readingInputOf } from "../../application/readings/reading-input.ts";
import { recordReading } from "../../application/readings/record-reading.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import type { Caller } from "../caller.ts";
import { exampleReading } from "../example-task.ts";
import { EXAMPLE } from "../examples.ts";
import type { IdempotencyHandle, SealableAnswer } from "../plugins/idempotency.ts";
import { shownReading } from "../present/reading.ts";
import type { AnyFailure, Problem } from "../problems.ts";
import { batchAnswer, batchBody } from "../schemas/reading.ts";
import { defineRoute, type Services } from "../services.ts";
import { givenOf } from "./readings.ts";

const post = defineRoute({
  operationId: "postReadings",
  method: "POST",
  path: "/v1/readings/batch",
  tag: "Reading",
  summary: "Post many readings",
  description:
    "Records up to 500 readings of any vehicles, each by itself: one that is refused does not keep the others out, and its result has the problem. A batch that was cut off can simply be sent again: under the same Idempotency-Key, or where each reading has its externalId, it goes on where it ended.",
  access: { scope: "readings:write" },
  creates: "folded",
  body: batchBody,
  examples: { body: { readings: [{ vehicleId: EXAMPLE.vehicleId, value: 5210, at: EXAMPLE.at }] } },
  answers: {
    200: {
      description: "A result for each reading, in their order.",
      schema: batchAnswer,
      example: { results: [{ index: 0, status: 201, reading: exampleReading, problem: null }] },
    },
  },
  async handle({ body, caller, deps, idempotency, problemOf }) {
    await claimWhole(deps, caller, idempotency);
    const results = [];
    for (const [index, { vehicleId, ...reading }] of body.readings.entries()) {
      const pointer = `#/readings/${index}`;
      const of = { accountId: caller.accountId, vehicleId };
      const result = await deps.database
        .onceForReading(of, keyOfPart(idempotency, index), async (tx) => {
          const done = await recordReading(
            tx,
            caller,
            vehicleId,
            (machine, now) => readingInputOf(reading, machine.vehicle, now, pointer),
            givenOf(reading),
            deps,
          );
          return { status: done.isNew ? 201 : 200, body: shownReading(done.reading) };
        })
        .then(recorded, refused(problemOf));
      results.push({ index, ...result });
    }
    return { status: 200, body: { results } };
  },
});

/** The key stands for this batch and no other, whatever becomes of its readings. */
async function claimWhole(
  { database }: Services,
  { accountId }: Caller,
  key: IdempotencyHandle | null,
): Promise<void> {
  if (key) await database.once(accountId, key, async () => ({ status: 200 }));
}

/**
 * Each reading is kept in a transaction of its own under a key of its own, so that a batch that was
 * cut off goes on where it ended. No caller's key has a space.
 */
function keyOfPart(whole: IdempotencyHandle | null, index: number): IdempotencyHandle | null {
  return whole && { ...whole, key: `${whole.key} ${index}` };
}

function recorded(done: SealableAnswer | Replay) {
  if (!("replay" in done)) return { status: done.status, reading: done.body, problem: null };
  const { status, body } = done.replay;
  return { status, reading: JSON.parse(String(body)) as unknown, problem: null };
}

function refused(problemOf: (failure: AnyFailure) => Problem) {
  return (error: unknown) => {
    if (!(error instanceof Refusal)) throw error;
    const problem = problemOf(error.failure);
    return { status: problem.status, reading: null, problem };
  };
}

export const readingBatchRoutes = [post];
