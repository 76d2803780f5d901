import { type Caller, visibleVehicles } from "../../application/caller.ts";
import type { Deps } from "../../application/deps.ts";
import type { Transaction } from "../../application/ports.ts";
import type { Vehicle } from "../../application/records.ts";
import { listVehicles, vehiclesToday } from "../../application/vehicle-status.ts";
import {
  addVehicle,
  changeVehicle,
  findVehicle,
  removeVehicle,
} from "../../application/vehicles.ts";
import { exampleVehicle } from "../examples.ts";
import { givenVehicle } from "../incoming/vehicle-rows.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { applyPatch, patchOf } from "../patch-body.ts";
import { shownVehicle, writableVehicle } from "../present/vehicle.ts";
import { page } from "../schemas/common.ts";
import { vehicle, vehicleBody, vehicleList, vehicleParams } from "../schemas/vehicle.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";

const shown = { description: "The vehicle.", schema: vehicle, example: exampleVehicle };

async function showOne(tx: Transaction, found: Vehicle, deps: Deps) {
  const [today] = await vehiclesToday(tx, [found], deps);
  return { status: 200, body: today && shownVehicle(today), version: found.version };
}

const post = defineRoute({
  operationId: "addVehicle",
  method: "POST",
  path: "/v1/vehicles",
  tag: "Vehicle",
  summary: "Add a vehicle",
  description:
    "Adds a machine. Its plain dates are dates in the zone of the member who is responsible for it, the owner if not told. The same externalId with the same content answers 200 with the vehicle that is there.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  body: vehicleBody,
  examples: {
    body: {
      name: exampleVehicle.name,
      kind: "motorcycle",
      meterUnit: "km",
      inServiceOn: "2026-04-01",
    },
  },
  problems: ["conflict"],
  answers: { 201: shown, 200: { ...shown, description: "It was there already." } },
  async handle(call) {
    const { body, caller, deps } = call;
    return onceInAccount(call, async (tx) => {
      const { vehicle: added, isNew } = await addVehicle(
        tx,
        caller,
        body,
        givenVehicle(body),
        deps,
      );
      const shownOne = await showOne(tx, added, deps);
      return { ...shownOne, status: isNew ? 201 : 200, location: `/v1/vehicles/${added.id}` };
    });
  },
});

const list = defineRoute({
  operationId: "listVehicles",
  method: "GET",
  path: "/v1/vehicles",
  tag: "Vehicle",
  summary: "List vehicles",
  description:
    "Machines, newest first, on (createdAt, id): those that the key and its member may see.",
  access: { scope: "read" },
  query: vehicleList,
  answers: {
    200: {
      description: "A page of vehicles.",
      schema: page(vehicle, "VehiclePage"),
      example: { items: [exampleVehicle], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, status, ...wanted } = call.query;
    return inAccount(call, async (tx) => {
      const filter = { ...wanted, ...boundsOf(call.caller, wanted) };
      const found = await listVehicles(tx, filter, status, pageAsked(call), call.deps);
      return pageAnswer(call, found, shownVehicle);
    });
  },
});

/** A member who asks for another's machines sees none of them. */
function boundsOf(
  caller: Caller,
  { responsibleMemberId }: { responsibleMemberId?: string | undefined },
) {
  const bounds = visibleVehicles(caller);
  const own = bounds.responsibleMemberId;
  const others = own && responsibleMemberId !== undefined && own !== responsibleMemberId;
  return others ? { ...bounds, ids: [] } : bounds;
}

const get = defineRoute({
  operationId: "getVehicle",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}",
  tag: "Vehicle",
  summary: "One vehicle",
  description: "One machine. Its status moves with the calendar, so it is always answered whole.",
  access: { scope: "read" },
  versioned: "moving",
  params: vehicleParams,
  answers: { 200: shown },
  async handle(call) {
    const { params, caller, deps } = call;
    return inAccount(call, async (tx) =>
      showOne(tx, await findVehicle(tx, caller, params.vehicleId), deps),
    );
  },
});

const patch = defineRoute({
  operationId: "changeVehicle",
  method: "PATCH",
  path: "/v1/vehicles/{vehicleId}",
  tag: "Vehicle",
  summary: "Change a vehicle",
  description:
    "Changes a vehicle by a merge patch (RFC 7396). The meter's unit stays once there are readings or tasks.",
  access: { scope: "write" },
  versioned: "moving",
  params: vehicleParams,
  body: patchOf(vehicleBody),
  examples: { body: { group: "East quay" } },
  problems: ["conflict"],
  answers: { 200: shown },
  async handle(call) {
    const { params, caller, deps, ifMatch, body } = call;
    return inAccount(call, async (tx) => {
      const change = (now: Vehicle) => {
        const { responsibleMemberId, ...rest } = applyPatch(
          vehicleBody,
          writableVehicle(now),
          body,
        );
        return { ...rest, responsibleMemberId: responsibleMemberId ?? now.responsibleMemberId };
      };
      const written = await changeVehicle(tx, caller, params.vehicleId, ifMatch, change, deps);
      return showOne(tx, written, deps);
    });
  },
});

const remove = defineRoute({
  operationId: "removeVehicle",
  method: "DELETE",
  path: "/v1/vehicles/{vehicleId}",
  tag: "Vehicle",
  summary: "Remove a vehicle",
  description:
    "Removes a machine with all its readings, tasks and history, for good. To keep the history of one that was sold, set `disposedOn` instead.",
  access: { scope: "write" },
  versioned: "moving",
  params: vehicleParams,
  answers: { 204: { description: "Removed." } },
  async handle(call) {
    await inAccount(call, (tx) =>
      removeVehicle(tx, call.caller, call.params.vehicleId, call.ifMatch, call.deps),
    );
    return { status: 204 };
  },
});

export const vehicleRoutes = [post, list, get, patch, remove];
