import type { Collection } from "../../application/ports.ts";
import type { WebhookEndpoint } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";

export function webhookEndpoints(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<WebhookEndpoint, Record<string, never>> {
  return collectionOn<WebhookEndpoint, Record<string, never>>(
    prisma.webhookEndpoint as unknown as Delegate,
    accountId,
    { order: "createdAt", where: () => ({}) },
  );
}
