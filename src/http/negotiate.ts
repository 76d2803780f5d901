import { WireRefusal } from "./wire-failure.ts";

interface Range {
  readonly type: string;
  readonly subtype: string;
  readonly weight: number;
}

/**
 * The offered media type that an `Accept` field likes best (RFC 9110, section 12.5.1); of those it
 * likes equally the first offered. Without the field, that is the first.
 * @throws WireRefusal notAcceptable when the field admits none of them
 */
export function negotiate<T extends string>(
  accept: string | undefined,
  offered: readonly [T, ...T[]],
): T {
  if (accept === undefined || accept.trim() === "") return offered[0];
  const ranges = accept.split(",").flatMap(readRange);
  let best: T | undefined;
  let most = 0;
  for (const type of offered) {
    const weight = weightOf(type, ranges);
    if (weight > most) [best, most] = [type, weight];
  }
  if (best === undefined) throw new WireRefusal({ kind: "notAcceptable", offered });
  return best;
}

function readRange(text: string): readonly Range[] {
  const [range = "", ...parameters] = text.split(";").map((part) => part.trim().toLowerCase());
  const [type, subtype] = range.split("/");
  if (!type || !subtype) return [];
  const q = parameters.find((parameter) => parameter.startsWith("q="));
  const weight = q === undefined ? 1 : Number(q.slice(2));
  return [{ type, subtype, weight: weight >= 0 && weight <= 1 ? weight : 0 }];
}

/** The most specific range that covers the type decides. */
function weightOf(offer: string, ranges: readonly Range[]): number {
  const [type, subtype] = offer.split("/");
  const covering = ranges.filter(
    (range) =>
      (range.type === type || range.type === "*") &&
      (range.subtype === subtype || range.subtype === "*"),
  );
  const bySpecificity = (range: Range) =>
    Number(range.type !== "*") + Number(range.subtype !== "*");
  covering.sort((one, other) => bySpecificity(other) - bySpecificity(one));
  return covering[0]?.weight ?? 0;
}
