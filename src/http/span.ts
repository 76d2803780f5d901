import type { Transaction } from "../application/ports.ts";
import type { Vehicle } from "../application/records.ts";
import { addDays, type Instant, type PlainDate } from "../domain/calendar/plain-date.ts";
import { startOfDay } from "../domain/calendar/zone.ts";

type End = { readonly instant: Instant } | { readonly date: PlainDate };

interface SpanAsked {
  readonly from?: End | undefined;
  readonly to?: End | undefined;
}

/**
 * The `from` and `to` of a list as instants, the first in the span and the second not. A plain date is
 * the whole of its day, in the zone of the member who looks after the vehicle, else in the owner's.
 */
export async function spanAsked(
  tx: Transaction,
  { from, to }: SpanAsked,
  vehicle?: Vehicle,
): Promise<{ from: Instant | undefined; to: Instant | undefined }> {
  const dated = [from, to].some((end) => end && "date" in end);
  const zone = dated ? await zoneOf(tx, vehicle) : "UTC";
  return { from: from && startOf(from, 0, zone), to: to && startOf(to, 1, zone) };
}

async function zoneOf(tx: Transaction, vehicle: Vehicle | undefined): Promise<string> {
  const member = vehicle && (await tx.members.find(vehicle.responsibleMemberId));
  return (member ?? (await tx.owner())).timeZone;
}

/** An instant is itself; a date the start of the day that lies so many days after it. */
function startOf(end: End, days: number, zone: string): Instant {
  return "instant" in end ? end.instant : startOfDay(addDays(end.date, days), zone);
}
