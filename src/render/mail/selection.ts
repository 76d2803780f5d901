import type {
  ReminderItemView,
  ReminderMachineView,
  ReminderMailView,
} from "../../application/views.ts";

/** A mail's content as far as it is shown: the first `detailed` jobs in full, the rest in short. */
export interface Selection {
  view: ReminderMailView;
  detailed: ReadonlySet<ReminderItemView>;
  /** Jobs that the mail only counts. */
  leftOut: number;
  /** Machines without jobs whose readings are asked for and that the mail only counts. */
  asksLeftOut: number;
}

/** Mail programs cut longer messages short, and with them the last jobs and the way out. */
const MOST_BYTES = 58_000;

const STEPS: ReadonlyArray<{ detailed: number; listed: number }> = [
  { detailed: Number.POSITIVE_INFINITY, listed: Number.POSITIVE_INFINITY },
  { detailed: 6, listed: Number.POSITIVE_INFINITY },
  { detailed: 2, listed: Number.POSITIVE_INFINITY },
  { detailed: 1, listed: 30 },
  { detailed: 0, listed: 24 },
  { detailed: 0, listed: 12 },
  { detailed: 0, listed: 5 },
  { detailed: 0, listed: 1 },
];

export function allItems(view: ReminderMailView): ReminderItemView[] {
  return view.machines.flatMap(({ items }) => items);
}

/** The most that fits: jobs are first shown in short, then only counted, the last ones first. */
export function fitting<T extends string>(
  view: ReminderMailView,
  render: (selection: Selection) => T,
): { selection: Selection; rendered: T } {
  for (const step of STEPS) {
    const selection = select(view, step.detailed, step.listed);
    const rendered = render(selection);
    if (Buffer.byteLength(rendered) <= MOST_BYTES || step === STEPS.at(-1)) {
      return { selection, rendered };
    }
  }
  throw new Error("There is a last step.");
}

function asking(machines: readonly ReminderMachineView[]): number {
  return machines.filter(({ items, asks }) => asks && items.length === 0).length;
}

function select(view: ReminderMailView, detailed: number, listed: number): Selection {
  const items = allItems(view);
  const kept = new Set(items.slice(0, listed));
  const trim = (machine: ReminderMachineView): ReminderMachineView => ({
    ...machine,
    items: machine.items.filter((item) => kept.has(item)),
  });
  const machines = view.machines
    .map(trim)
    .filter(
      (machine, index) => machine.items.length > 0 || view.machines[index]?.items.length === 0,
    )
    .slice(0, Math.max(1, listed));
  return {
    view: { ...view, machines },
    detailed: new Set(items.slice(0, Math.min(detailed, listed))),
    leftOut: items.length - kept.size,
    asksLeftOut: asking(view.machines) - asking(machines),
  };
}
