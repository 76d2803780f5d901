/**
 * Calls `stop` once when the process that started this one is gone, so that a killed `npm run up`
 * leaves no API or worker behind. Without `FOREWHEEL_PARENT` or without an IPC channel it does
 * nothing: a part that is started alone lives by its signals only.
 */
export function stopWithParent(stop: () => void): void {
  if (process.env.FOREWHEEL_PARENT === undefined || !process.connected) return;
  process.once("disconnect", stop);
  // The listener alone would keep a process alive that has finished its work.
  process.channel?.unref();
}
