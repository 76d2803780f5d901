/** Texts that a member may store in any field, and that no page or mail may act upon. */
export const HOSTILE =
  "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>\r\nBcc: thief@example.org\r\n\r\n{x} ]]> &amp; \u202e";

/** The same data with every text in it replaced, save those that are dates, codes or addresses. */
export function hostileCopy<T>(data: T, keep: ReadonlySet<string> = KEPT): T {
  if (Array.isArray(data)) {
    return data.map((one) => (typeof one === "string" ? HOSTILE : hostileCopy(one, keep))) as T;
  }
  if (data === null || typeof data !== "object") return data;
  return Object.fromEntries(
    Object.entries(data).map(([key, value]) => {
      if (keep.has(key) || (typeof value === "string" && DATE.test(value))) return [key, value];
      return [key, typeof value === "string" ? HOSTILE : hostileCopy(value, keep)];
    }),
  ) as T;
}

const DATE = /^\d{4}-\d{2}-\d{2}$/;

const KEPT = new Set([
  ...["locale", "zone", "today", "stage", "byRule", "reachedBy", "method", "meterUnit", "code"],
  ...["due", "likely", "window", "on", "doneOn", "printedOn", "inServiceOn", "status", "verdict"],
  ...[
    "verdictLeft",
    "whichever",
    "links",
    "link",
    "unit",
    "likelierUnit",
    "what",
    "asFound",
    "asLeft",
    "trade",
  ],
  ...["taskIds", "domain", "faults", "purpose"],
]);
