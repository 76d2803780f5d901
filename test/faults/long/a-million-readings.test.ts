import { afterAll, beforeAll, describe, expect, test } from "vitest";
import {
  type FleetSize,
  postFile,
  readingFile,
  vehicleFile,
} from "../../../src/commands/bench/fleet-files.ts";
import { type Client, clientOf } from "../../support/client.ts";
import { report } from "../support/report.ts";
import { type RunningApi, type Stage, setStage } from "../support/stage.ts";

const SMALL: FleetSize = { machines: 100, readingsEach: 1_000 };
const LARGE: FleetSize = { machines: 400, readingsEach: 2_500 };
/** What a tenfold file may take more at its peak: garbage that has not been collected yet. */
const MORE_MB = 64;

describe("files of readings pass through the API in memory that does not follow their length", () => {
  let stage: Stage;
  let api: RunningApi;
  beforeAll(async () => {
    stage = await setStage("postgresql");
    api = await stage.api();
  });
  afterAll(() => stage.clear());

  test("a million in, and all of them out again", async () => {
    // The first file warms the process up, which takes memory once.
    await throughAndOut(SMALL);
    const small = await throughAndOut(SMALL);
    const large = await throughAndOut(LARGE);
    report({
      fault: "a file of 1,000,000 readings, in and out",
      backend: "none",
      ...{ tries: 1, due: large.readings, sent: large.out, lost: large.readings - large.out },
      repeated: 0,
      note: `peak ${large.mb.toFixed(0)} MB, with 100,000 ${small.mb.toFixed(0)}; in ${large.inSeconds.toFixed(0)} s, out ${large.outSeconds.toFixed(0)} s`,
    });
    expect(large.out).toBe(large.readings);
    expect(large.mb - small.mb).toBeLessThan(MORE_MB);
  }, 600_000);

  async function throughAndOut(fleet: FleetSize) {
    const { client, key } = await account();
    await postFile(api.baseUrl, key, "vehicles", vehicleFile(fleet));
    const taken = await peak(() =>
      postFile(api.baseUrl, key, "readings", readingFile(fleet, Date.now())),
    );
    const readings = fleet.machines * fleet.readingsEach;
    expect(taken.result).toMatchObject({ status: "applied", counts: { recorded: readings } });
    const given = await peak(() => linesOut(key));
    const { body } = await client.get("/v1/imports?kind=readings");
    expect(body.items[0].counts.recorded).toBe(readings);
    return {
      // Of both: what the way in has taken is still resident on the way out.
      ...{ readings, out: given.result - 1, mb: Math.max(taken.mb, given.mb) },
      ...{ inSeconds: taken.seconds, outSeconds: given.seconds },
    };
  }

  async function account(): Promise<{ client: Client; key: string }> {
    const operator = clientOf(api.baseUrl, api.operatorToken);
    const made = await operator.post("/v1/accounts", {
      name: "An invented fleet",
      owner: { name: "Robin", email: "robin@example.org" },
    });
    const { key } = made.body.apiKey;
    return { client: clientOf(api.baseUrl, key), key };
  }

  /** Lines of the file of readings, the heading among them, none of which is kept. */
  async function linesOut(key: string): Promise<number> {
    const headers = { authorization: `Bearer ${key}` };
    const answer = await fetch(`${api.baseUrl}/v1/exports/readings`, { headers });
    expect(answer.status).toBe(200);
    let lines = 0;
    for await (const chunk of answer.body ?? []) {
      for (let at = chunk.indexOf(10); at >= 0; at = chunk.indexOf(10, at + 1)) lines += 1;
    }
    return lines;
  }

  /** The most memory that the API had meanwhile, MB resident. */
  async function peak<T>(work: () => Promise<T>) {
    let mb = api.memory();
    const looking = setInterval(() => {
      mb = Math.max(mb, api.memory());
    }, 50);
    const begun = performance.now();
    try {
      const result = await work();
      return { result, mb, seconds: (performance.now() - begun) / 1000 };
    } finally {
      clearInterval(looking);
    }
  }
});
