/** The kinds of machine that the forecast tells apart; an unknown one is `other`. */
export const VEHICLE_KINDS = [
  "motorcycle",
  "moped",
  "eScooter",
  "bicycle",
  "quad",
  "car",
  "van",
  "camper",
  "other",
] as const;

export type VehicleKind = (typeof VEHICLE_KINDS)[number];
