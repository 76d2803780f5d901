import { inject } from "vitest";

/** Files run side by side: on one database each would take the other's jobs. */
const FILES = ["queue", "mail-arrives", "webhooks", "rates-together"] as const;

/** The URL of the Redis database that a test file has to itself; nothing where there is no Redis. */
export function redisDatabase(file: (typeof FILES)[number]): string | undefined {
  const server = inject("redisUrl");
  if (server === undefined) return undefined;
  const url = new URL(server);
  url.pathname = `/${FILES.indexOf(file) + 1}`;
  return url.href;
}
