import type { EventRecord } from "../records.ts";

/** Raised when a payload changes in a way that a receiver must know of. */
const PAYLOAD_VERSION = 1;

/** An event as it is delivered: as `/v1/events` shows it, with its time under the name of the standard too. */
export function payloadOf({ id, type, vehicleId, resourceId, data, at }: EventRecord): string {
  const timestamp = new Date(at).toISOString();
  return JSON.stringify({
    ...{ type, timestamp, payloadVersion: PAYLOAD_VERSION },
    ...{ id, vehicleId, resourceId, at: timestamp, data },
  });
}
