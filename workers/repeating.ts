/** Runs the work every `everyMs`, one run at a time; an error is told and the next run follows. */
export function repeating(
  everyMs: number,
  work: () => Promise<unknown>,
  onError: (error: Error) => void,
): { stop(): Promise<void> } {
  let stopped = false;
  let wake: (() => void) | undefined;
  const running = (async () => {
    while (!stopped) {
      await work().catch(onError);
      if (stopped) break;
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, everyMs);
        wake = () => {
          clearTimeout(timer);
          resolve();
        };
      });
    }
  })();
  return {
    async stop() {
      stopped = true;
      wake?.();
      await running;
    },
  };
}
