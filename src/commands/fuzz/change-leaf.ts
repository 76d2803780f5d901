import type { Dice } from "./dice.ts";

type Change = (leaf: unknown) => unknown;

/** A copy in which one value, deep inside or not, is another; the pointer says which. */
export function changeLeaf(
  value: unknown,
  dice: Dice,
  change: Change,
): { readonly value: unknown; readonly pointer: string } {
  if (typeof value === "object" && value !== null && dice.chance(0.92)) {
    const names = Object.keys(value);
    if (names.length > 0) {
      const name = dice.pick(names);
      const inner = changeLeaf((value as Record<string, unknown>)[name], dice, change);
      return { value: withMember(value, name, inner.value), pointer: `/${name}${inner.pointer}` };
    }
  }
  return { value: change(value), pointer: "" };
}

/** A copy of a list or an object with one member set; a name such as `__proto__` is one like any other. */
export function withMember(whole: object, name: string, value: unknown): unknown {
  if (Array.isArray(whole)) return whole.map((one, at) => (String(at) === name ? value : one));
  const copy: Record<string, unknown> = { ...whole };
  Object.defineProperty(copy, name, {
    value,
    enumerable: true,
    configurable: true,
    writable: true,
  });
  return copy;
}

/** A copy without one member. */
export function withoutMember(whole: object, name: string): unknown {
  return Object.fromEntries(Object.entries(whole).filter(([each]) => each !== name));
}
