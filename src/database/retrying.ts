import { setTimeout as sleep } from "node:timers/promises";
import { LostRace } from "../application/lost-race.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { sqlState } from "./errors.ts";
import { removedMeanwhile } from "./removed-meanwhile.ts";

const DEADLOCK = "40P01";
const LOCK_TIMEOUT = "55P03";
const TAKEN = "23505";
const NOT_SERIALIZABLE = "40001";
/** Who lost may find it otherwise the next time. */
const LOST: ReadonlySet<string> = new Set([TAKEN, NOT_SERIALIZABLE, DEADLOCK]);
const MOST_ATTEMPTS = 5;
const LONGEST_PAUSE_MS = 100;

/**
 * Two requests that write the same new thing at once: one loses on a unique index, tries again and
 * then finds what the other wrote; so does one whose row moved on under it, or that met another in a
 * deadlock. What others hold for too long is told as that, and so is a row that points to one which
 * was removed in the meantime.
 */
export async function retrying<T>(work: () => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      return await work();
    } catch (error) {
      const state = sqlState(error);
      if (state === LOCK_TIMEOUT) throw heldByOthers();
      const removed = removedMeanwhile(error);
      if (removed) throw removed;
      if (!(LOST.has(String(state)) || error instanceof LostRace)) throw error;
      // A unique index that refuses every time is no race.
      if (attempt === MOST_ATTEMPTS) throw state === TAKEN ? error : heldByOthers();
      // Two that met and both began again at once would meet again.
      if (state === DEADLOCK) await sleep(Math.random() * LONGEST_PAUSE_MS * attempt);
    }
  }
}

function heldByOthers(): Refusal {
  return new Refusal({ kind: "unavailable", retryAfter: 1 });
}
