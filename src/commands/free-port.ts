import { createServer } from "node:net";

/** A TCP port on 127.0.0.1 that was free a moment ago; another process may still be quicker. */
export async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve, reject) => {
    server.once("error", reject);
    server.listen(0, "127.0.0.1", resolve);
  });
  const address = server.address();
  await new Promise<void>((resolve) => server.close(() => resolve()));
  if (address === null || typeof address === "string") throw new Error("No TCP port to be had");
  return address.port;
}
