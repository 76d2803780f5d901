import {
  mayGoOn,
  type PositionMemory,
  type PositionStore,
  stepOn,
} from "../src/application/worker-position.ts";

export interface Guard {
  /** Whether nothing may be sent now; said aloud when it begins, and once a minute. */
  onHold(): Promise<boolean>;
  /** Something was sent since the last step. */
  sent(): void;
  /** Remembers outside the database how far it has come. */
  step(): Promise<void>;
}

const REMINDED_MS = 60_000;

/** Keeps a worker from mailing again what was sent before an older copy took the database's place. */
export function guardOf(
  store: PositionStore,
  memories: readonly PositionMemory[],
  tell: (sentence: string) => void,
): Guard {
  let dirty = false;
  let told = Number.NEGATIVE_INFINITY;
  return {
    async onHold() {
      const { heldSince, heldWhy } = await mayGoOn(store, memories);
      if (heldSince === null) return false;
      if (performance.now() - told > REMINDED_MS) {
        told = performance.now();
        tell(`${heldWhy} Nothing is sent. ${HOW_TO_RELEASE}`);
      }
      return true;
    },
    sent() {
      dirty = true;
    },
    async step() {
      if (!dirty) return;
      dirty = false;
      await stepOn(store, memories);
    },
  };
}

const HOW_TO_RELEASE =
  "Release the hold with npm run worker -- --release-hold --sent-until 2026-05-01T08:00:00Z (the moment up to which mail had been sent; what was planned before counts as sent), or with --release-hold --send-all.";
