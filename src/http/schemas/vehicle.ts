import { z } from "zod";
import { VEHICLE_KINDS } from "../../domain/usage/kind.ts";
import { distanceUnit, externalId, id, pageQuery, span, text, updatedAfter } from "./common.ts";
import { stored } from "./people.ts";
import { instant, plainDate } from "./time.ts";

export const vehicleKind = z.enum(VEHICLE_KINDS);
export const vehicleStatus = z.enum(["inUse", "laidUp", "offRoad", "disposed"]);

const shortText = text(200).nullable().default(null);

export const vehicleBody = z
  .strictObject({
    name: text(200).meta({ example: "Single 150, number 4" }),
    kind: vehicleKind,
    meterUnit: distanceUnit,
    hoursMeter: z.boolean().default(false),
    make: shortText,
    model: shortText,
    modelYear: z.int().min(1885).max(2200).nullable().default(null),
    registration: shortText,
    frameNumber: shortText,
    group: shortText,
    inServiceOn: plainDate.nullable().default(null),
    declaredPerYear: z.number().min(0).max(500_000).nullable().default(null).meta({
      description: "Distance a year as the rider puts it, in the meter's unit.",
    }),
    hemisphere: z.enum(["north", "south"]).nullable().default(null).meta({
      description: "Where its seasons are; by the responsible member's zone, if not told.",
    }),
    responsibleMemberId: id
      .nullable()
      .default(null)
      .meta({ description: "The owner, if not told." }),
    scheduleId: id.nullable().default(null).meta({
      description: "The shared schedule that stands on it: its lines become tasks of the machine.",
    }),
    disposedOn: plainDate.nullable().default(null),
    offRoad: z.boolean().default(false).meta({ description: "Out of use without a known end." }),
    externalId: externalId.nullable().default(null),
    notes: text(10_000).nullable().default(null),
  })
  .meta({ id: "VehicleBody" });

export const vehicle = z
  .strictObject({
    ...stored,
    name: z.string(),
    kind: vehicleKind,
    meterUnit: distanceUnit,
    hoursMeter: z.boolean(),
    make: z.string().nullable(),
    model: z.string().nullable(),
    modelYear: z.int().nullable(),
    registration: z.string().nullable(),
    frameNumber: z.string().nullable(),
    group: z.string().nullable(),
    inServiceOn: plainDate.nullable(),
    declaredPerYear: z.number().nullable(),
    hemisphere: z.enum(["north", "south"]).nullable(),
    responsibleMemberId: id,
    scheduleId: id.nullable(),
    disposedOn: plainDate.nullable(),
    offRoad: z.boolean(),
    externalId: z.string().nullable(),
    notes: z.string().nullable(),
    status: vehicleStatus.meta({ description: "Worked out from lay-ups, offRoad and disposedOn." }),
  })
  .meta({ id: "Vehicle", description: "One machine." });

export const vehicleList = pageQuery.extend({
  kind: vehicleKind.optional(),
  status: vehicleStatus.optional().meta({ description: "The status today." }),
  group: text(200).optional(),
  responsibleMemberId: id.optional(),
  scheduleId: id.optional(),
  externalId: externalId.optional(),
  updatedAfter,
});

export const vehicleParams = z.strictObject({ vehicleId: id });

export const layUpBody = z
  .strictObject({
    from: plainDate,
    to: plainDate.nullable().default(null).meta({ description: "The first day of use again." }),
    reason: text(500).nullable().default(null),
  })
  .meta({ id: "LayUpBody" });

export const layUp = z
  .strictObject({
    ...stored,
    vehicleId: id,
    from: plainDate,
    to: plainDate.nullable(),
    reason: z.string().nullable(),
  })
  .meta({ id: "LayUp", description: "A period without use." });

export const layUpList = pageQuery.extend({
  from: plainDate.optional().meta({ description: "Only those with a day on or after this one." }),
  to: plainDate.optional().meta({ description: "Only those with a day on or before this one." }),
  updatedAfter,
});

export const layUpParams = z.strictObject({ vehicleId: id, layUpId: id });

const shown = z.number().min(0).max(100_000_000);

export const meterChangeBody = z
  .strictObject({
    at: instant,
    before: shown.nullable().default(null).meta({
      description: "What the old instrument showed last; what was read last, if not told.",
    }),
    after: shown.meta({ description: "What the new instrument showed at first." }),
    meter: z.enum(["distance", "hours"]).default("distance"),
    note: text(2000).nullable().default(null),
  })
  .meta({ id: "MeterChangeBody" });

export const meterChange = z
  .strictObject({
    ...stored,
    vehicleId: id,
    meter: z.enum(["distance", "hours"]),
    at: instant,
    before: z.number().nullable(),
    after: z.number(),
    note: z.string().nullable(),
  })
  .meta({ id: "MeterChange", description: "The instrument was replaced or rolled over." });

export const meterChangeList = pageQuery.extend({
  ...span,
  meter: z.enum(["distance", "hours"]).optional(),
  updatedAfter,
});

export const meterChangeParams = z.strictObject({ vehicleId: id, meterChangeId: id });
