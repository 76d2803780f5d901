import { honestFigures } from "./honest-figures.ts";
import { type Counted, isTooFast, type Known, type Meter, runsBackwards } from "./known-reading.ts";
import { fromNowhere, meantBy, NO_SLIP, type WeighedSlip, weightOf } from "./weigh-slips.ts";

/** The reading before that is the slip, with what it more likely said in its own unit. */
export interface EarlierSlip {
  slip: Known;
  likelierValue?: number;
}

/** So many that are held and say the same are heard beside the one that is judged. */
const MOST_WITNESSES = 2;

/**
 * Whether the reading before is the slip rather than the one that contradicts it, by the odds: that
 * the earlier one slipped and the later ones are honest, against that it is honest and each of the
 * later ones slipped. Those that are held and agree with the one judged bear witness along with it;
 * where nothing is known from before the earlier one, a single witness is not heard against it. One
 * that a person confirmed is no slip.
 *
 * @param one the reading judged, which contradicts `earlier`
 * @param others accepted readings before `earlier`
 * @param held held ones between the two
 */
export function earlierSlip(
  one: Counted,
  earlier: Known,
  others: readonly Known[],
  held: readonly Known[],
  meter: Meter,
): EarlierSlip | null {
  if (earlier.confirmed) return null;
  const { context } = meter;
  const agreeing = held
    .filter((other) => contradicts(other, earlier, meter) && !contradicts(one, other, meter))
    .sort((a, b) => a.at - b.at)
    .slice(-MOST_WITNESSES);
  if (others.length === 0 && agreeing.length === 0) return null;
  const witnesses = [...agreeing, one];
  const before = honestFigures(others, earlier.at, meter);
  const asRight =
    NO_SLIP *
    before(earlier.total) *
    witnesses.reduce((all, witness) => all * asSlip(witness, [...others, earlier], meter), 1);

  const last = others.at(-1);
  const fits = ({ meant }: WeighedSlip) =>
    [...(last ? [[last, meant] as const] : []), [meant, witnesses[0] ?? one] as const].every(
      ([first, then]) => !runsBackwards(first, then, context) && !isTooFast(first, then, context),
    );
  const weighed = meantBy(earlier, meter)
    .filter(fits)
    .map((slip) => ({
      slip,
      weight: weightOf(slip, before) * asHonest(witnesses, [...others, slip.meant], meter),
    }));
  const nowhere = fromNowhere(earlier) * asHonest(witnesses, others, meter);
  const asWrong = weighed.reduce((sum, { weight }) => sum + weight, nowhere);
  if (asWrong <= asRight) return null;
  const best = weighed.reduce((a, b) => (b.weight > a.weight ? b : a), {
    slip: null as WeighedSlip | null,
    weight: nowhere,
  });
  return { slip: earlier, ...(best.slip && { likelierValue: best.slip.value }) };
}

function contradicts(later: Counted, earlier: Counted, { context }: Meter): boolean {
  return runsBackwards(earlier, later, context) || isTooFast(earlier, later, context);
}

/** Density of the later readings where all are honest, each expected from those before it. */
function asHonest(later: readonly Counted[], before: readonly Counted[], meter: Meter): number {
  let density = 1;
  const known = [...before];
  for (const one of later) {
    density *= NO_SLIP * honestFigures(known, one.at, meter)(one.total);
    known.push(one);
  }
  return density;
}

/** Density of a reading that is a slip. */
function asSlip(one: Counted, before: readonly Counted[], meter: Meter): number {
  const figures = honestFigures(before, one.at, meter);
  const last = before.at(-1);
  const fits = ({ meant }: WeighedSlip) => !last || !contradicts(meant, last, meter);
  return meantBy(one, meter)
    .filter(fits)
    .reduce((sum, slip) => sum + weightOf(slip, figures), fromNowhere(one));
}
