import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { MeterName } from "../records.ts";
import type { KnownBefore } from "./ports.ts";

/** Readings that are looked through for one that counts. */
const LOOKS_AHEAD = 240;

interface Place {
  vehicleId: string;
  meter: MeterName;
  at: Instant;
}

/** Walks over the known readings beside those of a file, both by machine, meter and instant. */
export class KnownWalk {
  readonly #source: AsyncIterator<KnownBefore[]>;
  #waiting: KnownBefore[] = [];
  #next = 0;
  #ended = false;

  constructor(source: AsyncIterable<KnownBefore[]>) {
    this.#source = source[Symbol.asyncIterator]();
  }

  /** Whether none is left, so that nobody need wait for an answer. */
  get ended(): boolean {
    return this.#ended && this.#next === this.#waiting.length;
  }

  /** Those of the meter up to the instant and at it; those of meters passed by are left behind. */
  async upTo(place: Place): Promise<KnownBefore[]> {
    const passed: KnownBefore[] = [];
    for (;;) {
      const known = await this.#peek(0);
      if (!known || compared(known, place) > 0) return passed;
      this.#next += 1;
      if (known.vehicleId === place.vehicleId && known.meter === place.meter) passed.push(known);
    }
  }

  /** The first one of the meter that counts and lies after the instant; it is not passed. */
  async after({ vehicleId, meter }: Place): Promise<KnownBefore | undefined> {
    for (let ahead = 0; ahead < LOOKS_AHEAD; ahead += 1) {
      const known = await this.#peek(ahead);
      if (known?.vehicleId !== vehicleId || known.meter !== meter) return undefined;
      if (known.status === "accepted") return known;
    }
    return undefined;
  }

  async #peek(ahead: number): Promise<KnownBefore | undefined> {
    while (this.#next + ahead >= this.#waiting.length && !this.#ended) {
      const { value, done } = await this.#source.next();
      if (done) this.#ended = true;
      else this.#waiting = [...this.#waiting.slice(this.#next), ...value];
      if (!done) this.#next = 0;
    }
    return this.#waiting[this.#next + ahead];
  }
}

/** The order of both walks: ids as the database sorts them, which is as their texts. */
function compared(known: KnownBefore, place: Place): number {
  if (known.vehicleId !== place.vehicleId) return known.vehicleId < place.vehicleId ? -1 : 1;
  if (known.meter !== place.meter) return known.meter < place.meter ? -1 : 1;
  return known.at - place.at;
}
