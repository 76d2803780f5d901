import type {
  Collection,
  LayUpFilter,
  MeterFilter,
  VehicleFilter,
} from "../../application/ports.ts";
import type { LayUp, MeterChangeRecord, Reading, Vehicle } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { between, day, given, since } from "./filters.ts";

type Tx = Prisma.TransactionClient;

export function vehicles(prisma: Tx, accountId: string): Collection<Vehicle, VehicleFilter> {
  return collectionOn<Vehicle, VehicleFilter>(
    () => prisma.vehicle as unknown as Delegate,
    accountId,
    {
      order: "createdAt",
      indexed: ["id", "externalId", "responsibleMemberId", "scheduleId", "disposedOn"],
      // When and how a machine is planned is between the planner and the worker.
      read: ({ replanAt: _when, plannedBy: _how, ...row }) => row as unknown as Vehicle,
      where: ({ isToBeDisposed, updatedAfter, ids, ...same }) =>
        given({
          ...same,
          disposedOn: isToBeDisposed ? { not: null } : undefined,
          updatedAt: since(updatedAfter),
          id: ids === undefined ? undefined : { in: ids },
        }),
    },
  );
}

export function meterChanges(
  prisma: Tx,
  accountId: string,
): Collection<MeterChangeRecord, MeterFilter> {
  return collectionOn<MeterChangeRecord, MeterFilter>(
    () => prisma.meterChange as unknown as Delegate,
    accountId,
    {
      order: "at",
      indexed: ["vehicleId"],
      where: ({ vehicleId, meter, from, to, updatedAfter }) =>
        given({ vehicleId, meter, at: between(from, to), updatedAt: since(updatedAfter) }),
    },
  );
}

export function layUps(prisma: Tx, accountId: string): Collection<LayUp, LayUpFilter> {
  return collectionOn<LayUp, LayUpFilter>(() => prisma.layUp as unknown as Delegate, accountId, {
    order: "from",
    indexed: ["vehicleId"],
    where: ({ vehicleId, vehicleIds, from, to, updatedAfter }) =>
      given({
        vehicleId: vehicleId ?? (vehicleIds && { in: vehicleIds }),
        from: to && { lte: day(to) },
        // `to` is the first day of use again.
        OR: from && [{ to: null }, { to: { gt: day(from) } }],
        updatedAt: since(updatedAfter),
      }),
  });
}

export function readings(prisma: Tx, accountId: string): Collection<Reading, MeterFilter> {
  return collectionOn<Reading, MeterFilter>(
    () => prisma.reading as unknown as Delegate,
    accountId,
    {
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
    },
  );
}
