import type { CalendarFeedFilter, Collection } from "../../application/ports.ts";
import type { CalendarFeed } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { given, since } from "./filters.ts";

export function calendarFeeds(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<CalendarFeed, CalendarFeedFilter> {
  return collectionOn<CalendarFeed, CalendarFeedFilter>(
    () => prisma.calendarFeed as unknown as Delegate,
    accountId,
    {
      order: "createdAt",
      where: ({ memberId, updatedAfter }) => given({ memberId, updatedAt: since(updatedAfter) }),
    },
  );
}
