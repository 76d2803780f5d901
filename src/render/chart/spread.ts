/**
 * Moves labels apart that stand at heights (top down, rising) until each has its own `height`, as
 * little as can be, inside the bounds as far as there is room; those that would touch are centred
 * together on where they belong.
 */
export function spread(
  heights: readonly number[],
  height: number,
  [top, bottom]: readonly [number, number],
): number[] {
  const clusters: Array<{ middle: number; members: number[] }> = [];
  const centred = (members: number[]) => {
    const half = (height * members.length) / 2;
    const mean = members.reduce((sum, one) => sum + one, 0) / members.length;
    return { middle: Math.max(top + half, Math.min(bottom - half, mean)), members };
  };
  for (const one of heights) {
    let open = centred([one]);
    for (let before = clusters.at(-1); before; before = clusters.at(-1)) {
      const needed = (height * (before.members.length + open.members.length)) / 2;
      if (open.middle - before.middle >= needed) break;
      clusters.pop();
      open = centred([...before.members, ...open.members]);
    }
    clusters.push(open);
  }
  return clusters.flatMap(({ middle, members }) =>
    members.map((_, index) => middle + height * (index - (members.length - 1) / 2)),
  );
}
