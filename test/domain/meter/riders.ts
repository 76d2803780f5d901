import { MS_PER_DAY } from "../../../src/domain/calendar/plain-date.ts";
import { fit as lawOf } from "../../../src/domain/forecast/fit.ts";
import type { Context, Known, Posted } from "../../../src/domain/meter/accept.ts";
import { expectationOf } from "../../../src/domain/meter/expectation.ts";
import type { VehicleKind } from "../../../src/domain/usage/kind.ts";

/** 2026-01-01T00:00:00Z, the day from which these riders are told. */
export const START = 20_454;

export const at = (day: number) => (START + day) * MS_PER_DAY;

/** A reading in km that was accepted, so many days after the start. */
export function accepted(day: number, value: number, more: Partial<Known> = {}): Known {
  return {
    id: `r${day}`,
    at: at(day),
    value,
    unit: "km",
    total: value,
    status: "accepted",
    confirmed: false,
    ...more,
  };
}

export function posted(day: number, value: number, unit: Posted["unit"] = "km"): Posted {
  return { at: at(day), value, unit };
}

/** The surroundings of a reading: the machine's own forecast of that instant stands behind `expect`. */
export function contextAt(instant: number, kind: VehicleKind = "motorcycle"): Context {
  return {
    meterUnit: "km",
    kind,
    now: instant,
    confirmed: false,
    expect: (before, at) => {
      const day = at / MS_PER_DAY;
      const readings = before.map((one) => ({ day: one.at / MS_PER_DAY, km: one.total }));
      const law = lawOf({ kind, readings, asOf: day, layUps: [], south: false });
      return law && expectationOf(law, day, (total) => total);
    },
  };
}
