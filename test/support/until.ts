/** Waits until it holds; throws after ten seconds. */
export async function until(
  holds: () => boolean | Promise<boolean>,
  limitMs = 10_000,
): Promise<void> {
  const limit = Date.now() + limitMs;
  while (!(await holds())) {
    if (Date.now() > limit) throw new Error("What was waited for did not come.");
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}
