import type { Existing } from "./reminder.ts";

/** A forecast wanders by days from reading to reading; less than a week is no correction. */
const LEAST_MOVE_DAYS = 7;

/**
 * The revision in which an occurrence is to be spoken of: that of what was last sent of it, and one
 * more where the due point has since moved later by more than the lead (a slipped reading was
 * corrected, an interval edited), so that the real reminder still comes. A move to an earlier day
 * does not mail again. `expectedDay`: day on which it is now most likely due; null = not in sight.
 */
export function revisionFor(
  sameOccurrence: readonly Existing[],
  expectedDay: number | null,
  leadDays: number,
): number {
  let latest: Existing | undefined;
  for (const reminder of sameOccurrence) {
    if (wasSent(reminder) && isLater(reminder, latest)) latest = reminder;
  }
  if (latest === undefined) return 0;
  const { revision, dueAtSending } = latest;
  if (dueAtSending === undefined) return revision;
  const moved = (expectedDay ?? Number.POSITIVE_INFINITY) - dueAtSending;
  return moved > Math.max(leadDays, LEAST_MOVE_DAYS) ? revision + 1 : revision;
}

/** A reminder that was sent and then deferred is planned anew, yet its sending counts. */
function wasSent(reminder: Existing): boolean {
  return reminder.status === "sent" || reminder.sentAt !== undefined;
}

function isLater(a: Existing, b: Existing | undefined): boolean {
  return (
    b === undefined ||
    a.revision > b.revision ||
    (a.revision === b.revision && (a.sentAt ?? 0) > (b.sentAt ?? 0))
  );
}
