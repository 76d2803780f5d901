import type {
  Collection,
  LayUpFilter,
  OfVehicle,
  ReadingFilter,
  VehicleFilter,
} from "../../application/ports.ts";
import type { LayUp, MeterChangeRecord, Reading, Vehicle } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { between, given, since } from "./filters.ts";

type Tx = Prisma.TransactionClient;

export function vehicles(prisma: Tx, accountId: string): Collection<Vehicle, VehicleFilter> {
  return collectionOn<Vehicle, VehicleFilter>(prisma.vehicle as unknown as Delegate, accountId, {
    order: "createdAt",
    indexed: ["id", "externalId", "responsibleMemberId", "scheduleId"],
    // When and how a machine is planned is between the planner and the worker.
    read: ({ replanAt: _when, plannedBy: _how, ...row }) => row as unknown as Vehicle,
    where: ({ externalId, scheduleId, updatedAfter, responsibleMemberId, ids }) =>
      given({
        externalId,
        scheduleId,
        responsibleMemberId,
        updatedAt: since(updatedAfter),
        id: ids === undefined ? undefined : { in: ids },
      }),
  });
}

export function meterChanges(
  prisma: Tx,
  accountId: string,
): Collection<MeterChangeRecord, OfVehicle> {
  return collectionOn<MeterChangeRecord, OfVehicle>(
    prisma.meterChange as unknown as Delegate,
    accountId,
    {
      order: "at",
      indexed: ["vehicleId"],
      where: ({ vehicleId, from, to }) => given({ vehicleId, at: between(from, to) }),
    },
  );
}

export function layUps(prisma: Tx, accountId: string): Collection<LayUp, LayUpFilter> {
  return collectionOn<LayUp, LayUpFilter>(prisma.layUp as unknown as Delegate, accountId, {
    order: "from",
    indexed: ["vehicleId"],
    where: ({ vehicleId, vehicleIds, from, to }) =>
      given({
        vehicleId: vehicleId ?? (vehicleIds && { in: vehicleIds }),
        from: between(from, to),
      }),
  });
}

export function readings(prisma: Tx, accountId: string): Collection<Reading, ReadingFilter> {
  return collectionOn<Reading, ReadingFilter>(prisma.reading as unknown as Delegate, accountId, {
    order: "at",
    indexed: ["vehicleId", "externalId"],
    json: ["reasons"],
    where: ({ vehicleId, from, to, status, externalId, updatedAfter, meter }) =>
      given({
        vehicleId,
        status,
        externalId,
        meter,
        at: between(from, to),
        updatedAt: since(updatedAfter),
      }),
  });
}
