import type { Breathe } from "../../application/breathe.ts";
import { pointer } from "../../domain/failure/pointer.ts";
import { MOST_FAULTS } from "../field-faults.ts";
import { isJsonObject } from "../json.ts";
import { checkedBody, parsed, type Read } from "../read-request.ts";
import type { Route } from "../route.ts";
import { unsoundParts } from "../soundness.ts";

/**
 * A body whose long list is read item by item, so that others of the thread get their turn and a body
 * with nothing right in it is not read to its end. What comes out is what `checkedBody` makes of the
 * whole, but for faults beyond those that are enough.
 */
export async function readLongBody(
  { body: schema, beside }: Pick<Route<never>, "body" | "beside">,
  value: unknown,
  breathe: Breathe,
): Promise<Read> {
  if (schema === undefined || beside === undefined) throw new Error("No long body is taken here.");
  const { list, item, most } = beside;
  const items: unknown = isJsonObject(value) ? value[list] : undefined;
  // A list that is itself wrong is told as such, and no item of it is looked at.
  if (!Array.isArray(items) || items.length > most) return checkedBody(schema, value);
  const unsound = unsoundParts(value);
  if (unsound.length > 0) return { value: undefined, errors: unsound };
  const around = checkedBody(schema, { ...(value as object), [list]: items.slice(0, 1) });
  const errors = [...around.errors];
  const read = [...((around.value as Record<string, unknown[]> | undefined)?.[list] ?? [])];
  for (let index = 1; index < items.length && errors.length < MOST_FAULTS; index += 1) {
    await breathe();
    const one = parsed(item, items[index], ({ steps, detail }) => ({
      pointer: pointer(list, index, ...steps),
      detail,
    }));
    errors.push(...one.errors);
    read.push(one.value);
  }
  if (errors.length > 0) return { value: undefined, errors: errors.slice(0, MOST_FAULTS) };
  return { value: { ...(around.value as object), [list]: read }, errors };
}
