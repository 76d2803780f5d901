import { meterFigures } from "./figures.ts";
import { type Markup, markup } from "./markup.ts";

/**
 * A reading in boxed figures, tenths reversed, as the instrument shows it. Screen readers get the
 * words beside it instead.
 */
export function meterDrawing(value: number): Markup {
  const { whole, tenth } = meterFigures(value);
  return markup`<span class="drum" aria-hidden="true">${whole.map((figure) => markup`<b>${figure}</b>`)}<b class="tenth">${tenth}</b></span>`;
}
