import { Agent, request } from "node:http";

export interface Shot {
  path: string;
  headers: Record<string, string>;
  /** What is posted; without one the path is read. */
  body?: string;
}

export interface Measured {
  /** Answers a second. */
  rate: number;
  p50Ms: number;
  p99Ms: number;
  /** Answers that were no 2xx. */
  failed: number;
  answers: number;
}

/** Asks as fast as so many connections allow, one request after another on each. */
export async function shoot(
  port: number,
  next: () => Shot,
  { connections, seconds }: { connections: number; seconds: number },
): Promise<Measured> {
  const agent = new Agent({ keepAlive: true, maxSockets: connections });
  const times: number[] = [];
  let failed = 0;
  const started = performance.now();
  const until = started + seconds * 1000;
  const run = async (): Promise<void> => {
    while (performance.now() < until) {
      const before = performance.now();
      const status = await ask(agent, port, next());
      times.push(performance.now() - before);
      if (status < 200 || status > 299) failed += 1;
    }
  };
  await Promise.all(Array.from({ length: connections }, run));
  const lasted = (performance.now() - started) / 1000;
  agent.destroy();
  times.sort((a, b) => a - b);
  const at = (share: number) => times[Math.floor((times.length - 1) * share)] ?? Number.NaN;
  return {
    rate: times.length / lasted,
    p50Ms: at(0.5),
    p99Ms: at(0.99),
    failed,
    answers: times.length,
  };
}

/** Asks once and takes the answer to its end; its status. */
export function ask(agent: Agent, port: number, { path, headers, body }: Shot): Promise<number> {
  return new Promise((resolve, reject) => {
    const sent = request(
      {
        ...{ agent, port, path, host: "127.0.0.1", method: body === undefined ? "GET" : "POST" },
        headers: { ...headers, ...(body !== undefined && lengthOf(body)) },
      },
      (answer) => {
        answer.resume();
        answer.once("end", () => resolve(answer.statusCode ?? 0));
      },
    );
    sent.once("error", reject);
    sent.end(body);
  });
}

function lengthOf(body: string): Record<string, string | number> {
  return { "content-type": "application/json", "content-length": Buffer.byteLength(body) };
}
