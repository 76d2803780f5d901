import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm, unlink, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { FLEET } from "../../src/content/guides/fleet.ts";
import { type Client, clientOf, type Json } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

const MACHINES = 400;
const DAY_MS = 86_400_000;

const program = FLEET.sections.flatMap(({ parts }) =>
  parts.flatMap((part) => ("file" in part ? [part.holds] : [])),
)[0] as string;

describe(`the program that follows a fleet of ${MACHINES}`, { timeout: 240_000 }, () => {
  let service: RunningService;
  let fleet: Client;
  let folder: string;
  let key: string;
  const today = Date.now();

  beforeAll(async () => {
    // Few enough that the program meets 429 on the way.
    service = await startService({ rates: { key: { requests: 4, seconds: 1 } } });
    folder = await mkdtemp(join(tmpdir(), "fleet-"));
    const owner = { name: "Robin", email: "robin@example.org", timeZone: "UTC" };
    const operator = clientOf(service.baseUrl, service.operatorToken);
    const made = await operator.post("/v1/accounts", { name: "Invented hire", owner });
    key = made.body.apiKey.key;
    fleet = patient(clientOf(service.baseUrl, key));
    const tasks = [
      { title: "Oil", every: { distance: { km: 1000, mi: 600 } } },
      { title: "Brakes", every: { months: 2 } },
    ];
    const schedule = (await fleet.post("/v1/schedules", { name: "Step 50", tasks })).body.id;
    const hands = await Promise.all(Array.from({ length: 6 }, hand));
    const vehicleIds: string[] = [];
    let next = 0;
    const adding = hands.map(async (by) => {
      while (next < MACHINES) vehicleIds.push(await vehicle(next++, by));
    });
    await Promise.all(adding);
    const put = await fleet.post(`/v1/schedules/${schedule}/put-on`, {
      vehicleIds,
      lastWork: "never",
    });
    expect(put.body).toMatchObject({ vehicles: MACHINES, tasksAdded: 2 * MACHINES });
  }, 240_000);

  afterAll(async () => {
    await service.stop();
    await rm(folder, { recursive: true });
  });

  /** One of several keys, so that the machines are there soon. */
  async function hand(): Promise<Client> {
    const made = await fleet.post("/v1/api-keys", { name: "Hand", scopes: ["write"] });
    return patient(clientOf(service.baseUrl, made.body.key));
  }

  async function vehicle(n: number, by = fleet): Promise<string> {
    const made = await by.post("/v1/vehicles", {
      name: `Step 50, number ${n}`,
      kind: "moped",
      meterUnit: "km",
      inServiceOn: new Date(today - 50 * DAY_MS).toISOString().slice(0, 10),
      externalId: `step-${n}`,
    });
    expect(made.status).toBe(201);
    return made.body.id;
  }

  /** Writes a day's readings; machine 7 has one digit too many on the second day. */
  async function readings(day: number): Promise<string> {
    const at = new Date(today - (2 - day) * DAY_MS).toISOString();
    const rows = Array.from({ length: MACHINES }, (_, n) => {
      const value = (400 + n) * (1 + day / 50);
      return `step-${n},${Math.round(day === 2 && n === 7 ? value * 100 : value)},${at}`;
    });
    const name = `day-${day}.csv`;
    await writeFile(join(folder, name), `${rows.join("\n")}\n`);
    return name;
  }

  /** Runs the program, or kills it after so many milliseconds; answers the file that it keeps. */
  async function run(name: string, killAfterMs?: number): Promise<Json> {
    const code = await new Promise<number | null>((resolve, reject) => {
      const child = spawn(process.execPath, ["fleet.mjs", name], {
        cwd: folder,
        stdio: "inherit",
        env: { API: service.baseUrl, KEY: key },
      });
      if (killAfterMs !== undefined) setTimeout(() => child.kill("SIGKILL"), killAfterMs);
      child.on("error", reject);
      child.on("close", resolve);
    });
    if (killAfterMs !== undefined) return null;
    expect(code).toBe(0);
    return JSON.parse(await readFile(join(folder, "fleet.json"), "utf8"));
  }

  async function requests(): Promise<number> {
    const text = String((await fleet.get("/metrics")).body);
    const counts = text.matchAll(
      /^http_request_duration_seconds_count\{operation="(?!getMetrics)[^}]*\} (\d+)$/gm,
    );
    return [...counts].reduce((sum, [, count]) => sum + Number(count), 0);
  }

  test("has fewer than fifty lines", () => {
    expect(program.split("\n").length).toBeLessThan(50);
  });

  test("posts a day's readings, and knows every machine and all that falls due", async () => {
    await writeFile(join(folder, "fleet.mjs"), program);
    const name = await readings(1);
    const [before, start] = [await requests(), performance.now()];
    const known = await run(name);
    const seconds = (performance.now() - start) / 1000;
    console.log(
      `A fleet of ${MACHINES}: ${(await requests()) - before} requests, ${seconds.toFixed(1)} s for the first day.`,
    );
    expect(Object.keys(known.vehicles)).toHaveLength(MACHINES);
    expect(known.ask).toEqual({});
    // Each machine's brakes are due in ten days or so.
    const brakes = known.due.filter(({ title }: Json) => title === "Brakes");
    expect(new Set(brakes.map(({ vehicleId }: Json) => vehicleId)).size).toBe(MACHINES);
  });

  test("goes on where it was killed, and asks about the reading that is held", async () => {
    const name = await readings(2);
    await run(name, 1500);
    const known = await run(name);
    expect(Object.keys(known.ask)).toEqual([expect.stringMatching(/^step-7 /)]);
    const [{ id }] = (await fleet.get("/v1/vehicles?externalId=step-9")).body.items;
    expect((await fleet.get(`/v1/vehicles/${id}/readings`)).body.items).toHaveLength(2);
    // Who begins anew comes to the same list.
    await unlink(join(folder, "fleet.json"));
    const anew = await run(name);
    const tasks = ({ due }: Json) => due.map(({ taskId }: Json) => taskId);
    expect(tasks(anew)).toEqual(tasks(known));
    expect(Object.keys(anew.vehicles)).toHaveLength(MACHINES);
  });

  test("forgets a machine that was removed, and takes up a new one", async () => {
    const [gone] = (await fleet.get("/v1/vehicles?externalId=step-3")).body.items;
    await fleet.remove(`/v1/vehicles/${gone.id}`, "*");
    const added = await vehicle(MACHINES);
    const known = await run("day-2.csv");
    expect(Object.keys(known.vehicles)).toHaveLength(MACHINES);
    expect(known.vehicles[added].externalId).toBe(`step-${MACHINES}`);
    expect(known.vehicles[gone.id]).toBeUndefined();
    expect(known.due.some(({ vehicleId }: Json) => vehicleId === gone.id)).toBe(false);
    // Its reading, and no other machine's, is told to have none to belong to.
    const homeless = Object.keys(known.ask).filter(
      (name) => known.ask[name] === "No such machine.",
    );
    expect(homeless).toEqual([expect.stringMatching(/^step-3 /)]);
  });
});

/** Waits where it is told to. */
function patient(client: Client): Client {
  const again = async <T extends { status: number; headers: Headers }>(
    call: () => Promise<T>,
  ): Promise<T> => {
    const answer = await call();
    if (answer.status !== 429) return answer;
    await new Promise((wait) => setTimeout(wait, 1000 * Number(answer.headers.get("retry-after"))));
    return again(call);
  };
  return {
    get: (...asked) => again(() => client.get(...asked)),
    post: (...asked) => again(() => client.post(...asked)),
    patch: (...asked) => again(() => client.patch(...asked)),
    remove: (...asked) => again(() => client.remove(...asked)),
  };
}
