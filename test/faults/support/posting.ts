import { setTimeout as sleep } from "node:timers/promises";
import { type Client, clientOf } from "../../support/client.ts";

/** One posted reading: what the API answered and how long it took. */
export interface Posted {
  readonly externalId: string;
  /** 0 where no answer came. */
  readonly status: number;
  readonly begunAt: number;
  readonly ms: number;
}

export interface Posting {
  readonly posted: readonly Posted[];
  stop(): Promise<void>;
}

const VEHICLES = 60;

/** Posts readings of an account's machines at a steady rate, whether earlier ones were answered or not. */
export async function steadyPosting(
  api: { baseUrl: string; operatorToken: string },
  everyMs: number,
): Promise<Posting> {
  const operator = clientOf(api.baseUrl, api.operatorToken);
  const owner = { name: "Robin", email: "robin@example.org", timeZone: "Europe/Berlin" };
  const made = await operator.post("/v1/accounts", { name: "Invented riders", owner });
  if (made.status !== 201) throw new Error(JSON.stringify(made.body));
  const client = clientOf(api.baseUrl, made.body.apiKey.key);
  const vehicleIds: string[] = [];
  for (let n = 0; n < VEHICLES; n += 1) vehicleIds.push(await addVehicle(client, n));
  const posted: Posted[] = [];
  const underway = new Set<Promise<unknown>>();
  let stopped = false;
  const running = (async () => {
    for (let n = 0; !stopped; n += 1) {
      const one = post(client, vehicleIds[n % VEHICLES] ?? "", n).then((done) => posted.push(done));
      underway.add(one);
      one.finally(() => underway.delete(one));
      await sleep(everyMs);
    }
  })();
  return {
    posted,
    async stop() {
      stopped = true;
      await running;
      await Promise.all(underway);
    },
  };
}

async function addVehicle(client: Client, n: number): Promise<string> {
  const body = { name: `Single ${n}`, kind: "motorcycle", meterUnit: "km" };
  const { status, body: vehicle } = await client.post("/v1/vehicles", body);
  if (status !== 201) throw new Error(JSON.stringify(vehicle));
  return vehicle.id;
}

async function post(client: Client, vehicleId: string, n: number): Promise<Posted> {
  const externalId = `post-${n}`;
  const begunAt = Date.now();
  const body = { value: 1000 + Math.floor(n / VEHICLES) / 10, unit: "km", externalId };
  const status = await client
    .post(`/v1/vehicles/${vehicleId}/readings`, body)
    .then((answer) => answer.status)
    .catch(() => 0);
  return { externalId, status, begunAt, ms: Date.now() - begunAt };
}

/** The time within which this share of the answers came, in ms. */
export function quantileMs(posted: readonly Posted[], share: number): number {
  const sorted = posted.map(({ ms }) => ms).sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}
