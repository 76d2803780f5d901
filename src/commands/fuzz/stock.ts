import { readPath } from "../document/find-operation.ts";
import type { Operation } from "../document/open-document.ts";
import type { Dice } from "./dice.ts";

/** An id that the service never gives. */
export const NOBODYS_ID = "01900000-0000-7000-8000-00000000dead";

/** What the path of one thing is made of: `{ vehicleId, readingId }`. */
export type Place = Readonly<Record<string, string>>;

const UUID = /[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g;
/** Things of one kind that are kept to be asked for again. */
const MOST = 60;

/** What an account has, as its answers told. */
export class Stock {
  readonly #places = new Map<string, Place[]>();
  /** Every id that an answer to this account ever had. */
  readonly ids = new Set<string>();
  /** Set when the account itself was deleted. */
  gone = false;
  readonly #operations: readonly Operation[];

  constructor(operations: readonly Operation[]) {
    this.#operations = operations;
  }

  /** Takes in what a 2xx answer shows. */
  learn(operation: Operation, place: Place, body: unknown): void {
    for (const id of JSON.stringify(body ?? null).match(UUID) ?? []) {
      // Sent as a text that stays, it comes back, and belongs to nobody all the same.
      if (id !== NOBODYS_ID) this.ids.add(id);
    }
    const below = this.#operations.find(
      ({ path }) =>
        path.startsWith(`${operation.path}/{`) &&
        !path.slice(operation.path.length + 1).includes("/"),
    );
    const kind = below && kindOf(below.path);
    if (kind !== undefined) {
      for (const one of itemsIn(body)) this.add(kind, { ...place, [kind]: one });
    }
    this.#learnNames(body);
    this.#learnAddresses(body);
  }

  /** A field that is called as the parameter of a path names a thing: the proof of a deletion. */
  #learnNames(body: unknown): void {
    for (const kind of this.#operations.map(({ path }) => kindOf(path))) {
      if (kind === undefined || kind.endsWith("Id")) continue;
      const named = (body as Record<string, unknown> | null)?.[kind];
      if (typeof named === "string") this.add(kind, { [kind]: named });
    }
  }

  /** Addresses in an answer name things too: those of calendars stand nowhere else. */
  #learnAddresses(body: unknown): void {
    if (typeof body === "string" && /^https?:/.test(body)) {
      const { pathname } = new URL(body);
      for (const { path } of this.#operations) {
        const kind = kindOf(path);
        const place = kind === undefined ? undefined : readPath(path, pathname);
        if (kind !== undefined && place !== undefined) this.add(kind, place);
      }
    }
    if (typeof body !== "object" || body === null) return;
    for (const value of Object.values(body)) this.#learnAddresses(value);
  }

  add(kind: string, place: Place): void {
    const known = this.#places.get(kind) ?? [];
    if (known.some((one) => one[kind] === place[kind])) return;
    if (known.length >= MOST) known.shift();
    this.#places.set(kind, [...known, place]);
  }

  /** Forgets what is gone, and all that stood below it. */
  forget(kind: string, id: string | undefined): void {
    for (const [each, places] of this.#places) {
      this.#places.set(
        each,
        places.filter((place) => place[kind] !== id),
      );
    }
  }

  count(kind: string): number {
    return this.#places.get(kind)?.length ?? 0;
  }

  /** One thing of a kind; of the same vehicle, where it can be had and is wanted. */
  pick(dice: Dice, kind: string, beside: Place = {}): Place | undefined {
    const known = this.#places.get(kind) ?? [];
    const near = known.filter((place) => place.vehicleId === beside.vehicleId);
    const from = near.length > 0 ? near : known;
    return from.length === 0 ? undefined : dice.pick(from);
  }

  /** Kinds of which there is something. */
  kinds(): string[] {
    return [...this.#places.keys()].filter((kind) => this.count(kind) > 0);
  }
}

/** The last parameter of a path: the kind of thing that it names. */
export function kindOf(path: string): string | undefined {
  return [...path.matchAll(/\{(\w+)\}/g)].at(-1)?.[1];
}

function itemsIn(body: unknown): string[] {
  if (typeof body !== "object" || body === null) return [];
  const { id, items } = body as { id?: unknown; items?: unknown };
  const own = typeof id === "string" ? [id] : [];
  return Array.isArray(items) ? items.flatMap(itemsIn) : own;
}
