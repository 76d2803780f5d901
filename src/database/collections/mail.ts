import type { Collection, MessageFilter, ReminderFilter } from "../../application/ports.ts";
import type { Message, Reminder } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { between, given, since } from "./filters.ts";

type Row = Record<string, unknown>;
type Tx = Prisma.TransactionClient;

export function reminders(prisma: Tx, accountId: string): Collection<Reminder, ReminderFilter> {
  return collectionOn<Reminder, ReminderFilter>(
    () => prisma.reminder as unknown as Delegate,
    accountId,
    {
      order: "plannedFor",
      indexed: ["vehicleId", "taskId", "memberId"],
      where: ({ vehicleIds, taskId, memberId, status, stage, from, to, updatedAfter }) =>
        given({
          taskId,
          memberId,
          status,
          stage,
          vehicleId: vehicleIds && { in: vehicleIds },
          plannedFor: between(from, to),
          updatedAt: since(updatedAfter),
        }),
    },
  );
}

export function messages(prisma: Tx, accountId: string): Collection<Message, MessageFilter> {
  return collectionOn<Message, MessageFilter>(
    () => prisma.message as unknown as Delegate,
    accountId,
    {
      order: "createdAt",
      indexed: ["memberId", "endpointId"],
      json: ["headers"],
      include: { reminders: { select: { id: true }, orderBy: { id: "asc" } } },
      where: ({
        memberId,
        kind,
        endpointId,
        status,
        vehicleIds,
        onlyVehicleIds,
        from,
        to,
        updatedAfter,
      }) =>
        given({
          memberId,
          kind,
          endpointId,
          status,
          ...(vehicleIds && { reminders: { some: { vehicleId: { in: vehicleIds } } } }),
          ...(onlyVehicleIds && {
            NOT: { reminders: { some: { vehicleId: { notIn: onlyVehicleIds } } } },
          }),
          createdAt: between(from, to),
          updatedAt: since(updatedAfter),
        }),
      read: messageOfRow,
      write: ({ reminderIds: _attached, ...fields }) => fields,
    },
  );
}

function messageOfRow({ reminders: carried, ...row }: Row): Message {
  const reminderIds = (carried as { id: string }[]).map(({ id }) => id);
  return { ...row, reminderIds } as unknown as Message;
}
