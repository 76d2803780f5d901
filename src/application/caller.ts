import { Refusal } from "../domain/failure/failure.ts";
import type { Role, Scope, Vehicle } from "./records.ts";

/** Who asks: a key of an account, perhaps bound to a member and to vehicles. */
export interface Caller {
  accountId: string;
  keyId: string;
  scopes: readonly Scope[];
  /** The member whose rights the key has; absent for a key of the account itself. */
  memberId?: string;
  role?: Role;
  /** The only vehicles that the key sees; absent: all that its member sees. */
  vehicleIds?: readonly string[];
  /** Made by another key for an hour or so; it makes none itself. */
  shortLived?: true;
}

export type Action =
  | "administer"
  | "invite"
  | "changeMachines"
  | "readMachines"
  | "postReadings"
  | "logWork"
  | "seeCosts"
  | "keepCalendars";

/**
 * Who may do what. `own` is a rider's right on the machines that the rider is responsible for; a key
 * that is bound to no member acts for the account, within its scopes. What shows more than single
 * machines is not for a key that is bound to vehicles, whosesoever it is.
 */
export const RIGHTS: Record<Action, Record<Role, "yes" | "own" | "no">> = {
  administer: { owner: "yes", manager: "no", mechanic: "no", rider: "no" },
  invite: { owner: "yes", manager: "yes", mechanic: "no", rider: "no" },
  changeMachines: { owner: "yes", manager: "yes", mechanic: "no", rider: "no" },
  readMachines: { owner: "yes", manager: "yes", mechanic: "yes", rider: "own" },
  postReadings: { owner: "yes", manager: "yes", mechanic: "yes", rider: "own" },
  logWork: { owner: "yes", manager: "yes", mechanic: "yes", rider: "own" },
  seeCosts: { owner: "yes", manager: "yes", mechanic: "no", rider: "no" },
  keepCalendars: { owner: "yes", manager: "yes", mechanic: "own", rider: "own" },
};

const BEYOND_VEHICLES: ReadonlySet<Action> = new Set(["administer", "invite"]);

export function rightOf(caller: Caller, action: Action): "yes" | "own" | "no" {
  if (caller.vehicleIds && BEYOND_VEHICLES.has(action)) return "no";
  return caller.role ? RIGHTS[action][caller.role] : "yes";
}

/** Refuses a caller whose role, or whose key's bounds, leave no right on any machine. */
export function requireRight(caller: Caller, action: Action): void {
  if (rightOf(caller, action) !== "no") return;
  if (caller.vehicleIds && BEYOND_VEHICLES.has(action)) {
    throw new Refusal({ kind: "forbidden", need: "a key that is not bound to vehicles" });
  }
  throw new Refusal({ kind: "forbidden", need: `a role that may ${WORDS[action]}` });
}

const WORDS: Record<Action, string> = {
  administer: "administer the account",
  invite: "invite members",
  changeMachines: "change vehicles and tasks",
  readMachines: "read vehicles",
  postReadings: "post readings",
  logWork: "log work",
  seeCosts: "see costs",
  keepCalendars: "keep calendars",
};

/** Whether the key shows this vehicle at all; where it does not, its id answers as a missing one. */
export function seesVehicle(
  caller: Caller,
  vehicle: Pick<Vehicle, "id" | "responsibleMemberId">,
): boolean {
  if (caller.vehicleIds && !caller.vehicleIds.includes(vehicle.id)) return false;
  const right = rightOf(caller, "readMachines");
  return right === "yes" || (right === "own" && vehicle.responsibleMemberId === caller.memberId);
}

/** The vehicle that the caller may act on; a hidden one is told like a missing one. */
export function requireVehicle<V extends Pick<Vehicle, "id" | "responsibleMemberId">>(
  caller: Caller,
  vehicle: V | null | undefined,
  action: Action = "readMachines",
): V {
  if (!vehicle || !seesVehicle(caller, vehicle)) {
    throw new Refusal({ kind: "notFound", resource: "vehicle" });
  }
  requireRight(caller, action);
  return vehicle;
}

/** The condition that lists of vehicles carry for this caller. */
export function visibleVehicles(caller: Caller): {
  ids?: string[];
  responsibleMemberId?: string;
} {
  return {
    ...(caller.vehicleIds ? { ids: [...caller.vehicleIds] } : {}),
    ...(caller.memberId && rightOf(caller, "readMachines") === "own"
      ? { responsibleMemberId: caller.memberId }
      : {}),
  };
}
