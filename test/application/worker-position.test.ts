import { describe, expect, test } from "vitest";
import {
  type FoundPosition,
  holdReason,
  mayGoOn,
  type Position,
  type PositionMemory,
  type PositionStore,
} from "../../src/application/worker-position.ts";

const FOUND: FoundPosition = { lineages: ["a", "b"], beat: 7, heldSince: null, heldWhy: null };

function storeOf(found: FoundPosition): PositionStore & { held: string[]; beat: number } {
  const held: string[] = [];
  return {
    held,
    beat: found.beat,
    async look() {
      return { ...found, beat: this.beat, ...(held[0] && { heldSince: 1, heldWhy: held[0] }) };
    },
    async advance() {
      this.beat += 1;
      return { lineage: "b", beat: this.beat };
    },
    async hold(why) {
      held.push(why);
    },
  };
}

function memoryOf(position: Position | null, onRead: () => void = () => {}) {
  const memory: PositionMemory & { now: Position | null } = {
    now: position,
    async read() {
      const told = memory.now;
      onRead();
      return told;
    },
    async write(next) {
      memory.now = next;
    },
  };
  return memory;
}

describe("a worker that remembers how far it has come", () => {
  test("goes on where the database knows as much, or more", () => {
    expect(holdReason(null, FOUND)).toBeNull();
    expect(holdReason({ lineage: "b", beat: 7 }, FOUND)).toBeNull();
    expect(holdReason({ lineage: "b", beat: 3 }, FOUND)).toBeNull();
    expect(holdReason({ lineage: "a", beat: 99 }, FOUND)).toBeNull();
  });

  test("holds where the database knows less, or nothing of it", () => {
    expect(holdReason({ lineage: "b", beat: 8 }, FOUND)).toContain("restored copy");
    expect(holdReason({ lineage: "c", beat: 1 }, FOUND)).toContain("another database");
  });

  test("puts all workers on hold, and says why", async () => {
    const store = storeOf(FOUND);
    const found = await mayGoOn(store, [memoryOf({ lineage: "b", beat: 9 })]);
    expect(found.heldWhy).toContain("restored copy");
    expect(store.held).toHaveLength(1);
  });

  test("does not take a worker that goes on meanwhile for a restored copy", async () => {
    const store = storeOf(FOUND);
    // Another worker steps on between the two looks, and writes it down.
    const memory = memoryOf({ lineage: "b", beat: 7 }, () => {
      store.beat = 9;
      memory.now = { lineage: "b", beat: 9 };
    });
    expect((await mayGoOn(store, [memory])).heldSince).toBeNull();
    expect(store.held).toEqual([]);
  });

  test("never forgets what another one has written down", async () => {
    const memory = memoryOf({ lineage: "b", beat: 6 });
    await mayGoOn(storeOf(FOUND), [memory]);
    expect(memory.now).toEqual({ lineage: "b", beat: 7 });
    const fresh = memoryOf(null);
    await mayGoOn(storeOf(FOUND), [fresh]);
    expect(fresh.now).toEqual({ lineage: "b", beat: 7 });
  });
});
