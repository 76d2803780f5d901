import { z } from "zod";
import { requireVehicle } from "../../application/caller.ts";
import { findOfVehicle } from "../../application/find-or-refuse.ts";
import { readingInputOf } from "../../application/readings/reading-input.ts";
import { recordReading } from "../../application/readings/record-reading.ts";
import { confirmReading, correctReading } from "../../application/readings/settle-reading.ts";
import { exampleReading, exampleRecorded } from "../example-task.ts";
import { EXAMPLE } from "../examples.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownReading, shownRecorded } from "../present/reading.ts";
import { page } from "../schemas/common.ts";
import {
  correctionBody,
  reading,
  readingBody,
  readingList,
  readingParams,
  recordedReading,
} from "../schemas/reading.ts";
import { vehicleParams } from "../schemas/vehicle.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";
import { spanAsked } from "../span.ts";

type Body = z.output<typeof readingBody>;

const recorded = {
  description: "The reading, accepted or held, and the tasks that fall due next.",
  schema: recordedReading,
  example: exampleRecorded,
};

/** What was sent, by the names of the stored reading, for the comparison with one sent before. */
export function givenOf({ at, unit, meter, value, note, externalId }: Body) {
  return { at, unit, meter, value, note, externalId };
}

const post = defineRoute({
  operationId: "postReading",
  method: "POST",
  path: "/v1/vehicles/{vehicleId}/readings",
  tag: "Reading",
  summary: "Post a reading",
  description:
    "Records what a meter shows. One that makes no sense is held: kept with the reason, the likelier value and how to confirm or correct it, and left out of every estimate; it answers 201 like any other. The same reading posted again (same meter, instant and value) answers 200 with the one that is there, under the externalId that it was first posted with, if with any.",
  access: { scope: "readings:write" },
  creates: "folded",
  versioned: true,
  params: vehicleParams,
  body: readingBody,
  examples: { body: { value: 5210, at: EXAMPLE.at } },
  problems: ["conflict"],
  answers: { 201: recorded, 200: { ...recorded, description: "It was there already." } },
  async handle(call) {
    const { params, caller, deps, body, idempotency } = call;
    const of = { accountId: caller.accountId, vehicleId: params.vehicleId };
    return deps.database.onceForReading(of, idempotency, async (tx) => {
      const done = await recordReading(
        tx,
        caller,
        params.vehicleId,
        (machine, now) => readingInputOf(body, machine.vehicle, now),
        givenOf(body),
        deps,
      );
      return {
        status: done.isNew ? 201 : 200,
        location: `/v1/vehicles/${params.vehicleId}/readings/${done.reading.id}`,
        body: shownRecorded(done),
        version: done.reading.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listReadings",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/readings",
  tag: "Reading",
  summary: "The readings of a machine",
  description: "Readings, newest first, on (at, id); held and superseded ones among them.",
  access: { scope: "read" },
  params: vehicleParams,
  query: readingList,
  answers: {
    200: {
      description: "A page of readings.",
      schema: page(reading, "ReadingPage"),
      example: { items: [exampleReading], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, ...filter } = call.query;
    const { vehicleId } = call.params;
    return inAccount(call, async (tx) => {
      const vehicle = requireVehicle(call.caller, await tx.vehicles.find(vehicleId));
      const span = await spanAsked(tx, filter, vehicle);
      const found = await tx.readings.list({ ...filter, ...span, vehicleId }, pageAsked(call));
      return pageAnswer(call, found, shownReading);
    });
  },
});

const get = defineRoute({
  operationId: "getReading",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/readings/{readingId}",
  tag: "Reading",
  summary: "One reading",
  description: "One reading as it was posted, and what became of it.",
  access: { scope: "read" },
  versioned: true,
  params: readingParams,
  answers: { 200: { description: "The reading.", schema: reading, example: exampleReading } },
  async handle(call) {
    const { vehicleId, readingId } = call.params;
    const found = await inAccount(call, async (tx) => {
      requireVehicle(call.caller, await tx.vehicles.find(vehicleId));
      return findOfVehicle(tx.readings, vehicleId, readingId, "reading");
    });
    return { status: 200, body: shownReading(found), version: found.version };
  },
});

const confirm = defineRoute({
  operationId: "confirmReading",
  method: "POST",
  path: "/v1/vehicles/{vehicleId}/readings/{readingId}/confirm",
  tag: "Reading",
  summary: "Say that a held reading is right",
  description: "A person looked again: the reading counts from now on and is not held again.",
  access: { scope: "readings:write" },
  creates: "folded",
  versioned: true,
  params: readingParams,
  body: z.strictObject({}).meta({ id: "Confirmation" }),
  examples: { body: {} },
  problems: ["conflict"],
  answers: { 200: { ...recorded, description: "The reading, which counts now." } },
  async handle(call) {
    const { params, caller, deps } = call;
    return onceInAccount(call, async (tx) => {
      const done = await confirmReading(tx, caller, params.vehicleId, params.readingId, deps);
      return { status: 200, body: shownRecorded(done), version: done.reading.version };
    });
  },
});

const correct = defineRoute({
  operationId: "correctReading",
  method: "POST",
  path: "/v1/vehicles/{vehicleId}/readings/{readingId}/correct",
  tag: "Reading",
  summary: "Put a slipped reading right",
  description:
    "Records the right value in place of a slip. The old reading stays, as superseded; due points and reminders are worked out anew.",
  access: { scope: "readings:write" },
  creates: "folded",
  versioned: true,
  params: readingParams,
  body: correctionBody,
  examples: { body: { value: 5210 } },
  problems: ["conflict"],
  answers: { 201: { ...recorded, description: "The reading in its place." } },
  async handle(call) {
    const { params, caller, deps, body } = call;
    const correction = { value: body.value, unit: body.unit ?? null, at: body.at ?? null };
    return onceInAccount(call, async (tx) => {
      const { vehicleId, readingId } = params;
      const done = await correctReading(tx, caller, vehicleId, readingId, correction, deps);
      return {
        status: 201,
        location: `/v1/vehicles/${vehicleId}/readings/${done.reading.id}`,
        body: shownRecorded(done),
        version: done.reading.version,
      };
    });
  },
});

export const readingRoutes = [post, list, get, confirm, correct];
