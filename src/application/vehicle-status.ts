import type { PlainDate } from "../domain/calendar/plain-date.ts";
import { dateAt } from "../domain/calendar/zone.ts";
import { accountTime, type Deps } from "./deps.ts";
import type { PageOf, PageRequest, Transaction, VehicleFilter } from "./ports.ts";
import type { LayUp, Vehicle, VehicleStatus } from "./records.ts";

/** A vehicle as it stands today. */
export interface VehicleToday {
  vehicle: Vehicle;
  status: VehicleStatus;
}

/** More lay-ups than a page of vehicles has. */
const ALL = { limit: 10_000, after: null };
/** Vehicles that are looked at together, and how often for one page: then the page leads on as it is. */
const BATCH = 200;
const BATCHES = 10;

/** Vehicles with their status today, each in the zone of the member who looks after it. */
export async function vehiclesToday(
  tx: Transaction,
  vehicles: readonly Vehicle[],
  deps: Deps,
): Promise<VehicleToday[]> {
  const now = await accountTime(tx, deps);
  const responsible = new Set(vehicles.map((one) => one.responsibleMemberId));
  const members = (await tx.members.list({ ids: [...responsible] }, ALL)).items;
  const zones = new Map(members.map(({ id, timeZone }) => [id, timeZone]));
  const layUps = (await tx.layUps.list({ vehicleIds: vehicles.map(({ id }) => id) }, ALL)).items;
  return vehicles.map((vehicle) => {
    const own = layUps.filter(({ vehicleId }) => vehicleId === vehicle.id);
    const today = dateAt(now, zones.get(vehicle.responsibleMemberId) ?? "UTC");
    return { vehicle, status: statusOf(vehicle, own, today) };
  });
}

/** A page of the vehicles that fit, newest first; of those that have this status today where one is told. */
export async function listVehicles(
  tx: Transaction,
  filter: VehicleFilter,
  status: VehicleStatus | undefined,
  page: PageRequest,
  deps: Deps,
): Promise<PageOf<VehicleToday>> {
  if (status === undefined) {
    const { items, next } = await tx.vehicles.list(filter, page);
    return { items: await vehiclesToday(tx, items, deps), next };
  }
  const fitting = { ...filter, ...mayBe(status) };
  const found: VehicleToday[] = [];
  let after = page.after;
  for (let batch = 0; batch < BATCHES; batch += 1) {
    const { items, next } = await tx.vehicles.list(fitting, { limit: BATCH, after });
    const today = await vehiclesToday(tx, items, deps);
    found.push(...today.filter((one) => one.status === status));
    if (found.length > page.limit) {
      const kept = found.slice(0, page.limit);
      return { items: kept, next: positionOf(kept.at(-1)) };
    }
    after = next;
    if (after === null) break;
  }
  return { items: found, next: after };
}

/** What the stored fields alone say of a status; the date says the rest. */
function mayBe(status: VehicleStatus): VehicleFilter {
  if (status === "disposed") return { isToBeDisposed: true };
  return { offRoad: status === "offRoad" };
}

function positionOf(last: VehicleToday | undefined): PageRequest["after"] {
  return last ? { key: last.vehicle.createdAt, id: last.vehicle.id } : null;
}

export function statusOf(
  vehicle: Vehicle,
  layUps: readonly Pick<LayUp, "from" | "to">[],
  today: PlainDate,
): VehicleStatus {
  if (vehicle.disposedOn !== null && vehicle.disposedOn <= today) return "disposed";
  if (vehicle.offRoad) return "offRoad";
  const laidUp = layUps.some(({ from, to }) => from <= today && (to === null || today < to));
  return laidUp ? "laidUp" : "inUse";
}
