import type { Listed } from "../digest-view.ts";

/** Keeps the best of many without holding the many: those that sort first, and how many there were. */
export class BestOf<T> {
  readonly #limit: number;
  readonly #compare: (a: T, b: T) => number;
  #best: T[] = [];
  #count = 0;

  constructor(limit: number, compare: (a: T, b: T) => number) {
    this.#limit = limit;
    this.#compare = compare;
  }

  add(item: T): void {
    this.#count += 1;
    this.#best.push(item);
    if (this.#best.length >= 2 * this.#limit) this.#trim();
  }

  list<View>(show: (item: T) => View): Listed<View> {
    this.#trim();
    return { items: this.#best.map(show), count: this.#count };
  }

  #trim(): void {
    this.#best = this.#best.sort(this.#compare).slice(0, this.#limit);
  }
}
