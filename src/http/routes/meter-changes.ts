import { requireVehicle } from "../../application/caller.ts";
import { findOfVehicle } from "../../application/find-or-refuse.ts";
import { addMeterChange } from "../../application/meter-changes.ts";
import { EXAMPLE, exampleStored } from "../examples.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownMeterChange } from "../present/vehicle.ts";
import { page } from "../schemas/common.ts";
import {
  meterChange,
  meterChangeBody,
  meterChangeList,
  meterChangeParams,
  vehicleParams,
} from "../schemas/vehicle.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";
import { spanAsked } from "../span.ts";

const exampleChange = {
  ...exampleStored,
  vehicleId: EXAMPLE.vehicleId,
  meter: "distance",
  at: EXAMPLE.at,
  before: 41250,
  after: 0,
  note: "New instrument",
} as const;

const shown = { description: "The meter change.", schema: meterChange, example: exampleChange };
const PATH = "/v1/vehicles/{vehicleId}/meter-changes";

const post = defineRoute({
  operationId: "addMeterChange",
  method: "POST",
  path: PATH,
  tag: "Vehicle",
  summary: "Note that a meter was replaced or rolled over",
  description:
    "From then on the total is offset + what the new instrument shows: it never jumps. Readings posted since are worked out anew. Due points are told as totals; `forecast` also tells what the present instrument shows.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  params: vehicleParams,
  body: meterChangeBody,
  examples: { body: { at: EXAMPLE.at, before: 41250, after: 0 } },
  answers: { 201: shown },
  async handle(call) {
    const { params, caller, body, deps } = call;
    return onceInAccount(call, async (tx) => {
      const added = await addMeterChange(tx, caller, params.vehicleId, body, deps);
      return {
        status: 201,
        location: `/v1/vehicles/${params.vehicleId}/meter-changes/${added.id}`,
        body: shownMeterChange(added),
        version: added.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listMeterChanges",
  method: "GET",
  path: PATH,
  tag: "Vehicle",
  summary: "The meter changes of a machine",
  description: "Meter changes, newest first, on (at, id).",
  access: { scope: "read" },
  params: vehicleParams,
  query: meterChangeList,
  answers: {
    200: {
      description: "A page of meter changes.",
      schema: page(meterChange, "MeterChangePage"),
      example: { items: [exampleChange], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, ...filter } = call.query;
    const { vehicleId } = call.params;
    return inAccount(call, async (tx) => {
      const vehicle = requireVehicle(call.caller, await tx.vehicles.find(vehicleId));
      const span = await spanAsked(tx, filter, vehicle);
      const found = await tx.meterChanges.list({ ...filter, ...span, vehicleId }, pageAsked(call));
      return pageAnswer(call, found, shownMeterChange);
    });
  },
});

const get = defineRoute({
  operationId: "getMeterChange",
  method: "GET",
  path: `${PATH}/{meterChangeId}`,
  tag: "Vehicle",
  summary: "One meter change",
  description: "One replacement or roll-over of a meter.",
  access: { scope: "read" },
  versioned: true,
  params: meterChangeParams,
  answers: { 200: shown },
  async handle(call) {
    const { vehicleId, meterChangeId } = call.params;
    const found = await inAccount(call, async (tx) => {
      requireVehicle(call.caller, await tx.vehicles.find(vehicleId));
      return findOfVehicle(tx.meterChanges, vehicleId, meterChangeId, "meter change");
    });
    return { status: 200, body: shownMeterChange(found), version: found.version };
  },
});

export const meterChangeRoutes = [post, list, get];
