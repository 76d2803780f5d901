import type { Loop } from "./closed-loop.ts";
import type { Lending } from "./fleets.ts";
import type { ReliabilityRow, Row } from "./summary.ts";

/** What the backtest found, as it is printed and as JSON. */
export interface Report {
  /** What simulated fleets lend to a machine that is new in them; null without simulated riders. */
  readonly lending: Lending | null;
  readonly groups: readonly {
    readonly title: string;
    readonly series: number;
    readonly rows: readonly Row[];
    readonly reliability: readonly ReliabilityRow[];
    /** The product's own rules, without asks and with them. */
    readonly loop: { readonly silent: Loop; readonly asking: Loop };
  }[];
}

const DAYS_PER_MONTH = 365.25 / 12;

/** The report as Markdown tables, one a group. */
export function linesOf({ groups, lending }: Report): string[] {
  return [...groups.flatMap(linesOfGroup), ...(lending === null ? [] : [lendingLine(lending)])];
}

function lendingLine({ origins, alone, lent, coveredAlone, coveredLent }: Lending): string {
  const told = (log: number, covered: number) =>
    `${log.toFixed(3)} (80 % covers ${percent(covered)})`;
  return `A machine that is new in a simulated fleet of twelve, ${origins} forecasts in its first three months: log score ${told(alone, coveredAlone)} alone, ${told(lent, coveredLent)} with what the fleet lends.`;
}

function linesOfGroup({ title, series, rows, reliability, loop }: Report["groups"][number]) {
  const { silent, asking } = loop;
  return [
    `## ${title} (${series} series)`,
    "",
    ...tableOf(rows),
    "",
    loopSentence(silent, asking),
    "",
    "P(within 21 days), believed and come:",
    reliability
      .filter(({ count }) => count > 0)
      .map(({ believed, came, count }) => `${believed.toFixed(2)} ${came.toFixed(2)} (${count})`)
      .join(", "),
    "",
  ];
}

function loopSentence(silent: Loop, asking: Loop): string {
  if (asking.dues === 0) return "No due point could be judged in the closed loop.";
  const asksAMonth = DAYS_PER_MONTH * (asking.asks / asking.days);
  const share = (part: number) => percent(part / asking.dues);
  return `The product's own rules speak in time for ${percent(silent.inTime / silent.dues)} of ${silent.dues} due points without asks; with ${asksAMonth.toFixed(2)} asks a month, half of them answered, for ${share(asking.inTime)} (${share(asking.tooEarly)} too early, ${share(asking.tooLate)} too late).`;
}

function tableOf(rows: readonly Row[]): string[] {
  const heads = [
    "method",
    "CRPS, days",
    "log score",
    "to the average (90 % range)",
    "80 % covers",
    "below",
    "above",
    "in time",
    "early",
    "late",
  ];
  const cells = rows.map((row) => [
    row.method,
    row.crps.toFixed(1),
    row.log.toFixed(3),
    `${row.toAverage.toFixed(3)} (${row.toAverageRange.map((edge) => edge.toFixed(2)).join(" to ")})`,
    percent(row.covered),
    percent(row.below),
    percent(row.above),
    ...[row.inTime, row.tooEarly, row.tooLate].map((share) =>
      row.dues > 0 ? percent(share) : "-",
    ),
  ]);
  const widths = heads.map((head, column) =>
    Math.max(head.length, ...cells.map((row) => (row[column] ?? "").length)),
  );
  const line = (row: readonly string[]) =>
    `| ${row.map((cell, column) => (column === 0 ? cell.padEnd(widths[column] ?? 0) : cell.padStart(widths[column] ?? 0))).join(" | ")} |`;
  const rule = `| ${widths.map((width, column) => (column === 0 ? "-".repeat(width) : `${"-".repeat(width - 1)}:`)).join(" | ")} |`;
  return [line(heads), rule, ...cells.map(line)];
}

function percent(share: number): string {
  return Number.isFinite(share) ? `${(100 * share).toFixed(0)} %` : "-";
}
