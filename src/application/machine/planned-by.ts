/** Raised whenever the same data would be planned otherwise than before. */
const PLAN_VERSION = 2;

/**
 * By which code and which time-zone rules plans are made now. The daily audit plans again what was
 * planned by others: older code, or rules that a government has changed since.
 */
export const PLANNED_BY = `${PLAN_VERSION}/${process.versions.tz ?? "zones unknown"}`;
