import { execFile } from "node:child_process";
import { cp, mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import {
  ApiError,
  type ClientConfig,
  createClient,
  OPERATIONS,
  type Ops,
} from "../../openapi/client.ts";
import { checkOrGenerate } from "../../src/commands/openapi.ts";
import { ROUTES } from "../../src/http/routes/all.ts";
import { clientOf, type Json } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

let service: RunningService;
let folder: string;
let apiKey: string;
beforeAll(async () => {
  service = await startService();
  folder = await mkdtemp(join(tmpdir(), "client-"));
  const operator = clientOf(service.baseUrl, service.operatorToken);
  const made = await operator.post("/v1/accounts", {
    name: "Invented riders",
    owner: { name: "Robin", email: "robin@example.org" },
  });
  apiKey = made.body.apiKey.key;
});
afterAll(async () => {
  await service?.stop();
  await rm(folder, { recursive: true });
});

/** A client of the account, with what an app would set. */
const typed = (config: ClientConfig = {}) =>
  createClient<Ops>(OPERATIONS, {
    ...{ serverUrl: service.baseUrl, auth: { bearer: apiKey } },
    ...config,
  });

test("the committed client is the one that the description makes, byte for byte", async () => {
  const made = join(folder, "again.ts");
  await checkOrGenerate(["generate-client", "forewheel", `--output=${made}`]);
  expect(await readFile(made, "utf8")).toBe(await readFile("openapi/client.ts", "utf8"));
});

test("it has every operation", () => {
  const missing = ROUTES.map(({ operationId }) => operationId).filter((id) => !(id in OPERATIONS));
  expect(missing).toEqual([]);
});

describe("a program that uses it", () => {
  test("adds machines and walks through all of them, a page at a time", async () => {
    const client = typed();
    for (const name of ["One", "Two", "Three"]) {
      await client.addVehicle({ body: { name, kind: "moped", meterUnit: "km" } });
    }
    const names: string[] = [];
    for await (const { name } of client.listVehicles.items({ query: { limit: 2 } })) {
      names.push(name);
    }
    expect(names).toEqual(["Three", "Two", "One"]);
  });

  test("walks to the end of the events, and no further", async () => {
    const walk = async () => {
      const types: string[] = [];
      const events = typed().listEvents.items({ query: { limit: 2 } });
      for await (const { type } of events) types.push(type);
      return types.filter((type) => type === "vehicle.changed");
    };
    // An event shows once all older transactions have ended, those of other tests among them.
    await expect.poll(walk, { timeout: 20_000 }).toHaveLength(3);
  });

  test("is told of a refusal by a problem that it can read", async () => {
    const refused = typed().getVehicle({
      path: { vehicleId: "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10" },
    });
    const error = await refused.then(
      () => null,
      (thrown: unknown) => thrown,
    );
    expect(error).toBeInstanceOf(ApiError);
    const { status, body } = error as ApiError;
    expect(status).toBe(404);
    expect(body).toMatchObject({ type: expect.stringMatching(/\/problems\/not-found$/) });
  });

  test("changes what it has read, by the version that the answer told", async () => {
    const client = typed();
    const { items } = await client.listVehicles({ query: { limit: 1 } });
    const path = { vehicleId: String(items[0]?.id) };
    const { headers } = await client.getVehicle({ path }, { envelope: true });
    const change = { path, headers: { "If-Match": headers.etag }, body: { name: "Four" } };
    expect((await client.changeVehicle(change)).name).toBe("Four");
    await expect(client.changeVehicle(change)).rejects.toMatchObject({ status: 412 });
  });

  test("posts once though the first answer is lost on the way", async () => {
    let lost = 0;
    const client = typed({
      ...{ idempotencyKey: true, retry: { retries: 2, retryDelay: 1 } },
      async fetch(...args) {
        const answer = await fetch(...args);
        if (lost > 0) return answer;
        lost += 1;
        throw new TypeError("fetch failed");
      },
    });
    const body = { name: "Lost on the way", email: "lost@example.org" };
    const made = await client.addMember({ body });
    const { items } = await client.listMembers({});
    expect(lost).toBe(1);
    expect(items.filter(({ name }) => name === body.name).map(({ id }) => id)).toEqual([made.id]);
  });
});

test("the example of the README is five lines, and does what it says", async () => {
  const [, example = ""] = /```ts\n(.*?)```/s.exec(await readFile("README.md", "utf8")) ?? [];
  expect(example.trim().split("\n")).toHaveLength(5);
  const client = clientOf(service.baseUrl, apiKey);
  const machine = { name: "Single 150", kind: "motorcycle", meterUnit: "km" };
  const { body: vehicle }: Json = await client.post("/v1/vehicles", machine);
  const on = new Date(Date.now() + 30 * 86_400_000).toISOString().slice(0, 10);
  const task = { title: "Inspection", kind: "fixedDate", on };
  await client.post(`/v1/vehicles/${vehicle.id}/tasks`, task);

  await mkdir(join(folder, ".local"));
  await writeFile(
    join(folder, ".local/up.json"),
    JSON.stringify({ baseUrl: service.baseUrl, apiKey }),
  );
  await writeFile(join(folder, "due.ts"), example);
  await cp("openapi/client.ts", join(folder, "openapi/client.ts"));
  await writeFile(join(folder, "package.json"), '{ "type": "module" }');
  const settings = {
    extends: resolve("openapi/tsconfig.json"),
    compilerOptions: {
      ...{ typeRoots: [resolve("node_modules/@types")], rootDir: ".", outDir: "out" },
    },
    include: ["due.ts"],
  };
  await writeFile(join(folder, "tsconfig.json"), JSON.stringify(settings));
  await run([resolve("node_modules/typescript/bin/tsc"), "-p", "tsconfig.json"]);
  expect(await run(["out/due.js"])).toMatch(/^Single 150 Inspection \d{4}-\d\d-\d\d\n$/);
});

async function run(args: string[]): Promise<string> {
  try {
    return (await promisify(execFile)(process.execPath, args, { cwd: folder })).stdout;
  } catch (error) {
    const { stdout, stderr } = error as { stdout: string; stderr: string };
    throw new Error(stdout + stderr);
  }
}
