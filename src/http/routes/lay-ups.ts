import { requireVehicle } from "../../application/caller.ts";
import { findOfVehicle } from "../../application/find-or-refuse.ts";
import { addLayUp, changeLayUp, removeLayUp } from "../../application/lay-ups.ts";
import type { LayUp } from "../../application/records.ts";
import { EXAMPLE, exampleStored } from "../examples.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { applyPatch, patchOf } from "../patch-body.ts";
import { shownLayUp } from "../present/vehicle.ts";
import { page } from "../schemas/common.ts";
import { layUp, layUpBody, layUpList, layUpParams, vehicleParams } from "../schemas/vehicle.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";

const exampleLayUp = {
  ...exampleStored,
  vehicleId: EXAMPLE.vehicleId,
  from: "2026-11-01",
  to: "2027-03-01",
  reason: "Winter storage",
};

const shown = { description: "The lay-up.", schema: layUp, example: exampleLayUp };
const PATH = "/v1/vehicles/{vehicleId}/lay-ups";

const post = defineRoute({
  operationId: "addLayUp",
  method: "POST",
  path: PATH,
  tag: "Vehicle",
  summary: "Lay a vehicle up",
  description:
    "Notes a period without use, past, running or planned. Distance stands still in it, the calendar does not; reminders are planned anew.",
  access: { scope: "readings:write" },
  creates: "folded",
  versioned: true,
  params: vehicleParams,
  body: layUpBody,
  examples: { body: { from: "2026-11-01", to: "2027-03-01", reason: "Winter storage" } },
  answers: { 201: shown },
  async handle(call) {
    const { params, caller, body, deps } = call;
    return onceInAccount(call, async (tx) => {
      const added = await addLayUp(tx, caller, params.vehicleId, body, deps);
      return {
        status: 201,
        location: `/v1/vehicles/${params.vehicleId}/lay-ups/${added.id}`,
        body: shownLayUp(added),
        version: added.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listLayUps",
  method: "GET",
  path: PATH,
  tag: "Vehicle",
  summary: "The lay-ups of a machine",
  description: "Lay-ups, latest first, on (from, id).",
  access: { scope: "read" },
  params: vehicleParams,
  query: layUpList,
  answers: {
    200: {
      description: "A page of lay-ups.",
      schema: page(layUp, "LayUpPage"),
      example: { items: [exampleLayUp], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, ...filter } = call.query;
    const { vehicleId } = call.params;
    return inAccount(call, async (tx) => {
      requireVehicle(call.caller, await tx.vehicles.find(vehicleId));
      const found = await tx.layUps.list({ ...filter, vehicleId }, pageAsked(call));
      return pageAnswer(call, found, shownLayUp);
    });
  },
});

const get = defineRoute({
  operationId: "getLayUp",
  method: "GET",
  path: `${PATH}/{layUpId}`,
  tag: "Vehicle",
  summary: "One lay-up",
  description: "One period without use.",
  access: { scope: "read" },
  versioned: true,
  params: layUpParams,
  answers: { 200: shown },
  async handle(call) {
    const { vehicleId, layUpId } = call.params;
    const found = await inAccount(call, async (tx) => {
      requireVehicle(call.caller, await tx.vehicles.find(vehicleId));
      return findOfVehicle(tx.layUps, vehicleId, layUpId, "lay-up");
    });
    return { status: 200, body: shownLayUp(found), version: found.version };
  },
});

const patch = defineRoute({
  operationId: "changeLayUp",
  method: "PATCH",
  path: `${PATH}/{layUpId}`,
  tag: "Vehicle",
  summary: "Change a lay-up",
  description: "Changes a lay-up by a merge patch (RFC 7396): most often, its end becomes known.",
  access: { scope: "readings:write" },
  versioned: true,
  params: layUpParams,
  body: patchOf(layUpBody),
  examples: { body: { to: "2027-03-15" } },
  answers: { 200: shown },
  async handle(call) {
    const { params, caller, body, deps, ifMatch } = call;
    const change = ({ from, to, reason }: LayUp) =>
      applyPatch(layUpBody, { from, to, reason }, body);
    const written = await inAccount(call, (tx) =>
      changeLayUp(tx, caller, params.vehicleId, params.layUpId, ifMatch, change, deps),
    );
    return { status: 200, body: shownLayUp(written), version: written.version };
  },
});

const remove = defineRoute({
  operationId: "removeLayUp",
  method: "DELETE",
  path: `${PATH}/{layUpId}`,
  tag: "Vehicle",
  summary: "Remove a lay-up",
  description: "Removes a lay-up that was noted by mistake.",
  access: { scope: "readings:write" },
  versioned: true,
  params: layUpParams,
  answers: { 204: { description: "Removed." } },
  async handle(call) {
    const { params, caller, deps, ifMatch } = call;
    await inAccount(call, (tx) =>
      removeLayUp(tx, caller, params.vehicleId, params.layUpId, ifMatch, deps),
    );
    return { status: 204 };
  },
});

export const layUpRoutes = [post, list, get, patch, remove];
