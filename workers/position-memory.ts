import { mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import type { Redis } from "ioredis";
import { z } from "zod";
import type { Position, PositionMemory } from "../src/application/worker-position.ts";

const position = z.object({ lineage: z.string(), beat: z.number() });
const file = z.record(z.string(), position);

/** Which database it is, whoever connects to it: a restored copy answers at the same place. */
export function placeOf(databaseUrl: string): string {
  const { host, pathname } = new URL(databaseUrl);
  return `${host}${pathname}`;
}

/**
 * A small file on this machine, one entry for each database. One that cannot be read stops the
 * worker rather than letting it forget.
 */
export function fileMemory(path: string, place: string): PositionMemory {
  let known: Position | undefined;
  const entries = (): Record<string, Position> => {
    try {
      return file.parse(JSON.parse(readFileSync(path, "utf8")));
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === "ENOENT") return {};
      throw new Error(`${path} cannot be read: mend it, or remove it to forget.`, { cause: error });
    }
  };
  return {
    async read() {
      known ??= entries()[place];
      return known ?? null;
    },
    async write(next) {
      if (known?.beat === next.beat && known.lineage === next.lineage) return;
      mkdirSync(dirname(path), { recursive: true });
      // Renamed into place, so that a kill leaves the old one or the new one.
      const fresh = `${path}.${process.pid}`;
      writeFileSync(fresh, `${JSON.stringify({ ...entries(), [place]: next }, null, 2)}\n`);
      renameSync(fresh, path);
      known = next;
    },
  };
}

/** The same in Redis, shared by workers on all machines. A Redis that is away knows nothing. */
export function redisMemory(redis: Redis, place: string): PositionMemory {
  const key = `forewheel:position:${place}`;
  let known: Position | undefined;
  return {
    async read() {
      try {
        const text = await redis.get(key);
        return text === null ? null : position.parse(JSON.parse(text));
      } catch {
        return known ?? null;
      }
    },
    async write(next) {
      if (known?.beat === next.beat && known.lineage === next.lineage) return;
      known = next;
      await redis.set(key, JSON.stringify(next)).catch(() => {});
    },
  };
}
