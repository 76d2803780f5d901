import type { Instant } from "../domain/calendar/plain-date.ts";

/** How far workers have come with a database, as one of them remembers it outside that database. */
export interface Position {
  /** Which continuation of the database it was: a fresh one begins when a hold is released. */
  lineage: string;
  beat: number;
}

/** The same as the database itself tells it. */
export interface FoundPosition {
  /** The lineages that it has lived through, the present one last. */
  lineages: string[];
  beat: number;
  heldSince: Instant | null;
  heldWhy: string | null;
}

/** A place outside the database that remembers the position. */
export interface PositionMemory {
  read(): Promise<Position | null>;
  write(position: Position): Promise<void>;
}

/** What a worker needs of the database to know where it stands. */
export interface PositionStore {
  look(): Promise<FoundPosition>;
  /** One step further; answers where that is, null while on hold. */
  advance(): Promise<Position | null>;
  hold(why: string): Promise<void>;
}

export function positionOf({ lineages, beat }: FoundPosition): Position {
  return { lineage: lineages.at(-1) ?? "", beat };
}

/**
 * Why nothing may be sent: the database knows less than a worker remembers of it, so it is a copy
 * that was restored, and mail that it takes for unsent may have been sent. Null where all is well.
 */
export function holdReason(remembered: Position | null, found: FoundPosition): string | null {
  if (remembered === null) return null;
  const present = positionOf(found);
  if (!found.lineages.includes(remembered.lineage)) {
    return "The database does not know what this worker last saw of it: an older copy, or another database in its place.";
  }
  if (present.lineage === remembered.lineage && present.beat < remembered.beat) {
    return `The database is older than what this worker last saw of it (beat ${present.beat} after ${remembered.beat}): a restored copy.`;
  }
  return null;
}

/**
 * Looks whether sending may go on, and puts all workers on hold where it may not. What is remembered
 * is read before the database is: the other way round, a step that another worker takes in between
 * would make the database seem the older one.
 */
export async function mayGoOn(
  store: PositionStore,
  memories: readonly PositionMemory[],
): Promise<FoundPosition> {
  const remembered = await Promise.all(memories.map((memory) => memory.read()));
  const found = await store.look();
  if (found.heldSince !== null) return found;
  for (const position of remembered) {
    const why = holdReason(position, found);
    if (why === null) continue;
    await store.hold(why);
    return store.look();
  }
  for (const memory of memories) await memory.write(positionOf(found));
  return found;
}

/** After something was sent: one step further, remembered outside as well. */
export async function stepOn(
  store: PositionStore,
  memories: readonly PositionMemory[],
): Promise<void> {
  const position = await store.advance();
  if (position === null) return;
  for (const memory of memories) await memory.write(position);
}
