import type { Series } from "./series.ts";

/** Series that a table puts together. */
export interface Group {
  readonly title: string;
  /** Places in the list of all series. */
  readonly members: readonly number[];
}

/** All simulated riders, the riders of each habit, all files, each file; those that are there. */
export function groupsOf(series: readonly Series[]): Group[] {
  const places = series.map((_, place) => place);
  const isFile = (place: number) => series[place]?.group === FILES;
  const simulated = places.filter((place) => !isFile(place));
  const files = places.filter(isFile);
  const habits = [...new Set(simulated.map((place) => series[place]?.group ?? ""))];
  const groups: Group[] = [
    { title: "Simulated riders", members: simulated },
    ...habits.map((habit) => ({
      title: `Simulated: ${habit}`,
      members: simulated.filter((place) => series[place]?.group === habit),
    })),
    { title: "Files", members: files.length > 1 ? files : [] },
    ...files.map((place) => ({ title: series[place]?.name ?? "", members: [place] })),
  ];
  return groups.filter(({ members }) => members.length > 0);
}

export const FILES = "files";
