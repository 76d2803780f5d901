import { Agent, request } from "node:http";

export interface Sent {
  readonly method: string;
  readonly url: string;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: Buffer | null;
}

export interface Came {
  readonly status: number;
  /** Names in lower case. */
  readonly headers: Readonly<Record<string, string>>;
  readonly body: Buffer;
  readonly milliseconds: number;
}

export const SLOWEST_MS = 10_000;

/** Sends requests as they are written, over connections that are kept. */
export class Sender {
  readonly #agent: Agent;
  readonly #origin: URL;

  constructor(origin: string, connections: number) {
    this.#origin = new URL(origin);
    this.#agent = new Agent({ keepAlive: true, maxSockets: connections });
  }

  /** @throws Error where nothing came in time, or the connection was closed without an answer */
  send({ method, url, headers, body }: Sent): Promise<Came> {
    const begun = performance.now();
    const { hostname, port } = this.#origin;
    return new Promise((resolve, reject) => {
      const sent = request(
        {
          ...{ agent: this.#agent, host: hostname, port, path: url, method, timeout: SLOWEST_MS },
          headers: {
            ...headers,
            ...(body !== null && headers["transfer-encoding"] === undefined
              ? { "content-length": String(body.length) }
              : {}),
          },
        },
        (response) => {
          const chunks: Buffer[] = [];
          response.on("data", (chunk: Buffer) => chunks.push(chunk));
          response.on("error", reject);
          response.on("end", () =>
            resolve({
              status: response.statusCode ?? 0,
              headers: response.headers as Record<string, string>,
              body: Buffer.concat(chunks),
              milliseconds: performance.now() - begun,
            }),
          );
        },
      );
      sent.on("timeout", () => sent.destroy(new Error(`no answer within ${SLOWEST_MS} ms`)));
      sent.on("error", reject);
      sent.end(body ?? undefined);
    });
  }

  close(): void {
    this.#agent.destroy();
  }
}
