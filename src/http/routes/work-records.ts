import { requireVehicle } from "../../application/caller.ts";
import { findOfVehicle } from "../../application/find-or-refuse.ts";
import { logWork } from "../../application/work-done/log-work.ts";
import { amendWork, voidWork } from "../../application/work-done/settle-work.ts";
import { exampleNext, exampleWork, exampleWorkBody } from "../example-task.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownLogged, shownWork } from "../present/work-record.ts";
import { page } from "../schemas/common.ts";
import { vehicleParams } from "../schemas/vehicle.ts";
import {
  amendBody,
  loggedWork,
  voidBody,
  workBody,
  workList,
  workParams,
  workRecord,
} from "../schemas/work-record.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";
import { spanAsked } from "../span.ts";
import { amendedInput, givenWork, workInputOf } from "../work-input.ts";

const logged = {
  description: "The record, judged, and where its tasks fall due next.",
  schema: loggedWork,
  example: { ...exampleWork, next: [exampleNext] },
};

const post = defineRoute({
  operationId: "logWork",
  method: "POST",
  path: "/v1/vehicles/{vehicleId}/work-records",
  tag: "Work record",
  summary: "Log work that was done",
  description:
    "Writes down what was done and measured. Findings are judged on the way in; the answer says whether the work lies within the permitted window and where its tasks fall due next. Its reading is a reading of the meter as well; held or not, the work stands. Without a reading the likeliest total counts.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  params: vehicleParams,
  body: workBody,
  examples: { body: exampleWorkBody },
  problems: ["conflict"],
  answers: { 201: logged, 200: { ...logged, description: "It was there already." } },
  async handle(call) {
    const { params, caller, deps, body } = call;
    return onceInAccount(call, async (tx) => {
      const vehicle = requireVehicle(caller, await tx.vehicles.find(params.vehicleId), "logWork");
      const input = workInputOf(body, caller, vehicle.meterUnit);
      const done = await logWork(tx, caller, vehicle.id, input, givenWork(input), deps);
      return {
        status: done.isNew ? 201 : 200,
        location: `/v1/vehicles/${vehicle.id}/work-records/${done.record.id}`,
        body: shownLogged(done, caller),
        version: done.record.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listWorkRecords",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/work-records",
  tag: "Work record",
  summary: "The work done on a machine",
  description: "Work records, newest first, on (doneAt, id); amended and voided ones among them.",
  access: { scope: "read" },
  params: vehicleParams,
  query: workList,
  answers: {
    200: {
      description: "A page of work records.",
      schema: page(workRecord, "WorkRecordPage"),
      example: { items: [exampleWork], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, ...filter } = call.query;
    const { vehicleId } = call.params;
    return inAccount(call, async (tx) => {
      const vehicle = requireVehicle(call.caller, await tx.vehicles.find(vehicleId));
      const span = await spanAsked(tx, filter, vehicle);
      const found = await tx.work.list({ ...filter, ...span, vehicleId }, pageAsked(call));
      return pageAnswer(call, found, (record) => shownWork(record, call.caller));
    });
  },
});

const get = defineRoute({
  operationId: "getWorkRecord",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/work-records/{workRecordId}",
  tag: "Work record",
  summary: "One work record",
  description: "What was done, with its findings and all that was amended since.",
  access: { scope: "read" },
  versioned: true,
  params: workParams,
  answers: { 200: { description: "The record.", schema: workRecord, example: exampleWork } },
  async handle(call) {
    const { vehicleId, workRecordId } = call.params;
    const found = await inAccount(call, async (tx) => {
      requireVehicle(call.caller, await tx.vehicles.find(vehicleId));
      return findOfVehicle(tx.work, vehicleId, workRecordId, "work record");
    });
    return { status: 200, body: shownWork(found, call.caller), version: found.version };
  },
});

const voided = defineRoute({
  operationId: "voidWorkRecord",
  method: "POST",
  path: "/v1/vehicles/{vehicleId}/work-records/{workRecordId}/void",
  tag: "Work record",
  summary: "Void a work record",
  description:
    "The record counts for nothing from now on; it stays to be read, with the reason. Due points and reminders are worked out anew.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  params: workParams,
  body: voidBody,
  examples: { body: { reason: "Logged on the wrong machine." } },
  problems: ["conflict"],
  answers: { 200: { ...logged, description: "The record, void." } },
  async handle(call) {
    const { params, caller, deps, body } = call;
    return onceInAccount(call, async (tx) => {
      const { vehicleId, workRecordId } = params;
      const done = await voidWork(tx, caller, vehicleId, workRecordId, body.reason, deps);
      return { status: 200, body: shownLogged(done, caller), version: done.record.version };
    });
  },
});

const amended = defineRoute({
  operationId: "amendWorkRecord",
  method: "POST",
  path: "/v1/vehicles/{vehicleId}/work-records/{workRecordId}/amend",
  tag: "Work record",
  summary: "Amend a work record",
  description:
    "What is given replaces what stands, with the reason; what stood before stays in `revisions`.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  params: workParams,
  body: amendBody,
  examples: { body: { reason: "The date was a day off.", doneAt: "2026-05-17" } },
  problems: ["conflict"],
  answers: { 200: { ...logged, description: "The record as it stands now." } },
  async handle(call) {
    const { params, caller, deps, body } = call;
    return onceInAccount(call, async (tx) => {
      const { vehicleId, workRecordId } = params;
      const vehicle = requireVehicle(caller, await tx.vehicles.find(vehicleId), "logWork");
      const done = await amendWork(
        tx,
        caller,
        vehicleId,
        workRecordId,
        {
          reason: body.reason,
          readingGiven: body.reading != null,
          inputOf: (record) => amendedInput(record, body, caller, vehicle.meterUnit),
        },
        (record) => ({ ...shownWork(record, caller), revisions: undefined }),
        deps,
      );
      return { status: 200, body: shownLogged(done, caller), version: done.record.version };
    });
  },
});

export const workRecordRoutes = [post, list, get, voided, amended];
