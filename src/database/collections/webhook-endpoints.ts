import type { ChangedFilter, Collection } from "../../application/ports.ts";
import type { WebhookEndpoint } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { given, since } from "./filters.ts";

export function webhookEndpoints(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<WebhookEndpoint, ChangedFilter> {
  return collectionOn<WebhookEndpoint, ChangedFilter>(
    () => prisma.webhookEndpoint as unknown as Delegate,
    accountId,
    { order: "createdAt", where: ({ updatedAfter }) => given({ updatedAt: since(updatedAfter) }) },
  );
}
