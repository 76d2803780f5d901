import type { HonestFigures } from "./honest-figures.ts";
import { type Counted, inMeterUnit, type Meter, type Posted, shownAs } from "./known-reading.ts";
import { type Slip, slipsOf } from "./slips.ts";

/** One reading in so many is a slip. Common practice, no source. */
const SLIPS = 1 / 100;
/** The usual slips share the rest alike. Common practice, no source. */
const KINDS = 5;
const UNUSUAL = 0.05;
const EACH = (SLIPS * (1 - UNUSUAL)) / KINDS;
/** A figure that comes from nowhere may be any up to ten million, small ones oftener. */
const NOWHERE = (SLIPS * UNUSUAL) / Math.log(10_000_000);

/** P(a reading is no slip) before anything is known of it. */
export const NO_SLIP = 1 - SLIPS;

export interface WeighedSlip extends Slip {
  /** The reading as it was meant. */
  meant: Counted;
  /** P(the slip is made and comes out as this figure | what was meant). */
  chance: number;
}

/**
 * The usual slips of which a reading may have come, with what was meant: those whose total would lie
 * between the two.
 */
export function meantBy(
  posted: Counted,
  meter: Meter,
  from = 0,
  to = Number.POSITIVE_INFINITY,
): WeighedSlip[] {
  const { value, total, unit } = posted;
  const one = inMeterUnit(1, unit, meter.context);
  const possible = { from: value + (from - total) / one, to: value + (to - total) / one };
  return slipsOf(value, unit, possible).map(({ code, value: meant, chance }) => ({
    code,
    value: meant,
    chance: EACH * chance,
    meant: shownAs(posted, meant, meter),
  }));
}

/** Density of a figure that came from nowhere. */
export function fromNowhere({ value }: Posted): number {
  return NOWHERE / (1 + value);
}

/** P(the slip was made, and of this) as a density, to be compared with that of the figure as posted. */
export function weightOf({ chance, meant }: WeighedSlip, figures: HonestFigures): number {
  return chance * figures(meant.total);
}
