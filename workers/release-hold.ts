import { parseArgs } from "node:util";
import { type PositionMemory, positionOf } from "../src/application/worker-position.ts";
import type { ReleasablePositionStore } from "../src/database/worker-position.ts";

/** What the command line asks for; null where it asks for a worker. @throws Error that says what is wrong */
export function releaseAsked(args: readonly string[]): { sentUntil: string | null } | null {
  const { values } = parseArgs({
    args: [...args],
    options: {
      "release-hold": { type: "boolean", default: false },
      "sent-until": { type: "string" },
      "send-all": { type: "boolean", default: false },
    },
  });
  const sentUntil = values["sent-until"];
  if (!values["release-hold"]) {
    if (sentUntil === undefined && !values["send-all"]) return null;
    throw new Error("--sent-until and --send-all go with --release-hold.");
  }
  if ((sentUntil === undefined) !== values["send-all"]) {
    throw new Error(
      "Say how far mail had been sent: --release-hold --sent-until 2026-05-01T08:00:00Z, or --release-hold --send-all.",
    );
  }
  if (
    sentUntil !== undefined &&
    !/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?(Z|[+-]\d\d:\d\d)$/.test(sentUntil)
  ) {
    throw new Error(
      `--sent-until is "${sentUntil}": give an instant such as 2026-05-01T08:00:00Z.`,
    );
  }
  return { sentUntil: sentUntil === undefined ? null : new Date(sentUntil).toISOString() };
}

/** Lets workers go on, and tells in one sentence what that meant. */
export async function releaseHold(
  sentUntil: string | null,
  store: ReleasablePositionStore,
  memories: readonly PositionMemory[],
): Promise<string> {
  const { heldSince } = await store.look();
  if (heldSince === null) return "There is no hold: nothing was changed.";
  const { reminders, messages } = await store.release(sentUntil);
  for (const memory of memories) await memory.write(positionOf(await store.look()));
  return sentUntil === null
    ? "The hold is released; everything that waits is sent."
    : `The hold is released; ${reminders} reminders and ${messages} messages up to ${sentUntil} count as sent.`;
}
