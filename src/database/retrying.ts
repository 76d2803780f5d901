import { setTimeout as sleep } from "node:timers/promises";
import { LostRace } from "../application/find-or-refuse.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { sqlState } from "./errors.ts";
import { removedMeanwhile } from "./removed-meanwhile.ts";

const DEADLOCK = "40P01";
const MOST_ATTEMPTS = 5;
const LONGEST_PAUSE_MS = 100;

/**
 * Two requests that write the same new thing at once: one loses on a unique index, tries again and
 * then finds what the other wrote; so does one whose row moved on under it. A lock that was waited for
 * in vain is told as such, and so is a row that points to one which was removed in the meantime.
 */
export async function retrying<T>(work: () => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      return await work();
    } catch (error) {
      const state = sqlState(error);
      if (state === "55P03") throw new Refusal({ kind: "idempotencyRunning" });
      const removed = removedMeanwhile(error);
      if (removed) throw removed;
      const again = state === "23505" || state === "40001" || state === DEADLOCK;
      if (!(again || error instanceof LostRace) || attempt === MOST_ATTEMPTS) throw error;
      // Two that met and both began again at once would meet again.
      if (state === DEADLOCK) await sleep(Math.random() * LONGEST_PAUSE_MS * attempt);
    }
  }
}
