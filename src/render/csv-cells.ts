/** What a spreadsheet would run as a formula, or hide what follows. */
const RUNS = /^'*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]/;

/**
 * A text as a cell of a file that is to be read in again: one that a spreadsheet would run is disarmed
 * by an apostrophe, and so is one that looks as if it were disarmed. `rearmed` undoes it.
 */
export function disarmed(text: string): string {
  return RUNS.test(text) ? `'${text}` : text;
}

/** The text of a cell that `disarmed` wrote. */
export function rearmed(cell: string): string {
  return cell.startsWith("'") && RUNS.test(cell) ? cell.slice(1) : cell;
}

/** One line of CSV (RFC 4180): cells are quoted where they must be. */
export function csvLine(cells: readonly (string | number | null)[]): string {
  return `${cells.map(cellText).join(",")}\r\n`;
}

function cellText(cell: string | number | null): string {
  if (cell === null) return "";
  if (typeof cell === "number") return String(cell);
  const text = disarmed(cell);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
