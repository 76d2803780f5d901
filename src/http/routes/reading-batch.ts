import { recordReading } from "../../application/readings/record-reading.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { exampleReading } from "../example-task.ts";
import { EXAMPLE } from "../examples.ts";
import { shownReading } from "../present/reading.ts";
import { PROBLEMS } from "../problems.ts";
import { batchAnswer, batchBody } from "../schemas/reading.ts";
import { defineRoute } from "../services.ts";
import { givenOf, readingInputOf } from "./readings.ts";

const post = defineRoute({
  operationId: "postReadings",
  method: "POST",
  path: "/v1/readings/batch",
  tag: "Reading",
  summary: "Post many readings",
  description:
    "Records up to 500 readings of any vehicles, each by itself: one that is refused does not keep the others out, and its result says why. Each may carry an externalId, so that the whole batch can simply be sent again.",
  access: { scope: "readings:write" },
  body: batchBody,
  examples: { body: { readings: [{ vehicleId: EXAMPLE.vehicleId, value: 5210, at: EXAMPLE.at }] } },
  answers: {
    200: {
      description: "A result for each reading, in their order.",
      schema: batchAnswer,
      example: { results: [{ index: 0, status: 201, reading: exampleReading, problem: null }] },
    },
  },
  async handle({ body, caller, deps }) {
    const results = [];
    for (const [index, { vehicleId, ...reading }] of body.readings.entries()) {
      const pointer = `#/readings/${index}`;
      const result = await deps.database
        .onceForReading(caller.accountId, null, async (tx) => {
          const done = await recordReading(
            tx,
            caller,
            vehicleId,
            (machine, now) => readingInputOf(reading, machine, now, pointer),
            givenOf(reading),
            deps,
          );
          return {
            status: done.isNew ? 201 : 200,
            reading: shownReading(done.reading),
            problem: null,
          };
        })
        .catch(refused);
      results.push({ index, ...result });
    }
    return { status: 200, body: { results } };
  },
});

function refused(error: unknown) {
  if (!(error instanceof Refusal)) throw error;
  const { failure } = error;
  const entry = PROBLEMS[failure.kind];
  const faults = failure.kind === "invalid" ? failure.errors.map(({ detail }) => detail) : [];
  const problem = [entry.title, ...faults].join(": ");
  return { status: entry.status, reading: null, problem };
}

export const readingBatchRoutes = [post];
