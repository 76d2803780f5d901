import type { Instant } from "../calendar/plain-date.ts";
import { type Acceptance, judgeAmong, type Known, type Posted } from "./accept.ts";
import type { Meter } from "./known-reading.ts";

/** Accepted readings that a judgement looks back on: those that estimates use. */
const LOOKS_BACK = 240;

/**
 * One meter's history, walked once in order of time: what is known already and what is posted now,
 * whole. Each reading is judged by the rules of one that is posted alone, with what comes before it
 * in either. Memory and time of a judgement do not grow with the history.
 */
export class MeterHistory {
  readonly #meter: Meter;
  #past: Known[] = [];
  #held: Known[] = [];
  #there: Known[] = [];

  constructor(meter: Meter) {
    this.#meter = meter;
  }

  /** Goes on over a reading that counts or is held; none may be earlier than the one before. */
  pass(known: Known): void {
    this.#reach(known.at);
    this.#there.push(known);
    // Whatever a file holds, a judgement looks at so many at most.
    if (this.#there.length > LOOKS_BACK) this.#there.splice(1, 1);
  }

  /**
   * Judges a posted reading; none may be earlier than the one before. It is passed by whoever stores it.
   * @param after the accepted reading nearest after it among those known already
   * @param next the next one in time that is posted along with it
   */
  judge(posted: Posted, after: Known | undefined, next: Posted | undefined): Acceptance {
    this.#reach(posted.at);
    const around = { there: this.#there, past: this.#past, after, heldSince: this.#held };
    return judgeAmong(posted, next ? { ...around, next } : around, this.#meter);
  }

  /** What stands at an earlier instant becomes the past. */
  #reach(at: Instant): void {
    if (this.#there.length === 0 || this.#there[0]?.at === at) return;
    for (const known of this.#there) {
      if (known.status !== "accepted") continue;
      this.#past.push(known);
      this.#held = [];
    }
    const before = this.#past.at(-1);
    for (const known of this.#there) {
      // One that is held at the very instant of an accepted one says nothing of what came since.
      if (known.status === "held" && before && known.at > before.at) this.#held.push(known);
    }
    this.#there = [];
    if (this.#held.length > LOOKS_BACK) this.#held = this.#held.slice(-LOOKS_BACK);
    if (this.#past.length >= 2 * LOOKS_BACK) this.#past = this.#past.slice(-LOOKS_BACK);
  }
}
