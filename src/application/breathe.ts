/** Awaited between the steps of long work, so that others are served meanwhile. */
export type Breathe = () => Promise<void> | undefined;

const LONGEST_RUN_MS = 20;

/** Gives the event loop up once the work has run on for so long; goes on at once until then. */
export function breathing(longestMs = LONGEST_RUN_MS): Breathe {
  let started = performance.now();
  return () => {
    if (performance.now() - started < longestMs) return undefined;
    return new Promise((resolve) => {
      setImmediate(() => {
        started = performance.now();
        resolve();
      });
    });
  };
}
