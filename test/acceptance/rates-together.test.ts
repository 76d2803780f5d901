import { crc32 } from "node:zlib";
import { Redis } from "ioredis";
import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { connect } from "../../src/database/client.ts";
import { rateCountsOn } from "../../src/database/rate-counts.ts";
import { makeApiKey } from "../../src/http/api-key.ts";
import { base62 } from "../../src/http/base62.ts";
import { clientOf } from "../support/client.ts";
import { redisDatabase } from "../support/redis-database.ts";
import { type RunningService, startService } from "../support/service.ts";

const QUOTA = 50;
/** Long enough for a slow machine to make all requests of a test in one window. */
const WINDOW_S = 40;
const RATES = {
  key: { requests: QUOTA, seconds: WINDOW_S },
  address: { requests: 1_000, seconds: 1 },
  refusedKeys: { requests: QUOTA, seconds: WINDOW_S },
};
const FORGED = 5;
const REDIS = redisDatabase("rates-together");

/** A key of the same name whose secret is another's; its checksum fits. */
function withOtherSecret(key: string): string {
  const [, secret] = /^fw_\w{16}_(\w{43})_/.exec(makeApiKey().text) ?? [];
  const body = `${key.slice(0, 20)}${secret}`;
  const sum = Buffer.alloc(4);
  sum.writeUInt32BE(crc32(body));
  return `${body}_${base62(sum, 6)}`;
}

describe.each([
  { where: "PostgreSQL", redisUrl: undefined },
  ...(REDIS ? [{ where: "Redis", redisUrl: REDIS }] : []),
])("three processes that count in $where", ({ redisUrl }) => {
  const services: RunningService[] = [];
  const clients: Redis[] = [];
  let key: string;

  beforeAll(async () => {
    for (let n = 0; n < 3; n += 1) {
      const redis = redisUrl === undefined ? undefined : new Redis(redisUrl);
      if (redis) clients.push(redis);
      const settings = { rates: RATES, ...(redis && { redis }) };
      services.push(await startService(settings, services[0]));
    }
    key = await newKey();
  });
  afterAll(async () => {
    for (const service of services.toReversed()) await service.stop();
    for (const redis of clients) redis.disconnect();
  });

  async function newKey(): Promise<string> {
    const { baseUrl, operatorToken } = services[0] as RunningService;
    const made = await clientOf(baseUrl, operatorToken).post("/v1/accounts", {
      name: "Invented riders",
      owner: { name: "Robin", email: "robin@example.org" },
    });
    return made.body.apiKey.key;
  }

  /** So many requests at once, in turn at each process. */
  const ask = (count: number, token: () => string) =>
    Promise.all(
      Array.from({ length: count }, (_, n) =>
        clientOf(services[n % 3]?.baseUrl ?? "", token()).get("/v1/account"),
      ),
    );

  test("let exactly the key's quota through, and tell the others how long to wait", async () => {
    const answers = await ask(3 * QUOTA, () => key);
    const admitted = answers.filter(({ status }) => status === 200);
    const refused = answers.filter(({ status }) => status === 429);
    expect([admitted.length, refused.length]).toEqual([QUOTA, 2 * QUOTA]);
    const left = admitted.map(({ headers }) => /r=(\d+)/.exec(headers.get("ratelimit") ?? "")?.[1]);
    expect(left.map(Number).sort((a, b) => a - b)).toEqual([...Array(QUOTA).keys()]);
    for (const { headers, body } of refused) {
      expect(headers.get("ratelimit-policy")).toBe(`"key";q=${QUOTA};w=${WINDOW_S}`);
      expect(headers.get("ratelimit")).toMatch(/^"key";r=0;t=\d+$/);
      const wait = Number(headers.get("retry-after"));
      expect(wait >= 1 && wait <= WINDOW_S).toBe(true);
      expect(body["violated-policies"]).toEqual(["key"]);
    }
    expect((await ask(3, () => key)).map(({ status }) => status)).toEqual([429, 429, 429]);
  });

  test("count each key for itself, and a wrong secret never against the key", async () => {
    const other = await newKey();
    const forged = await ask(FORGED, () => withOtherSecret(other));
    expect(new Set(forged.map(({ status }) => status))).toEqual(new Set([401]));
    const [first] = await ask(1, () => other);
    expect(first?.headers.get("ratelimit")).toContain(`r=${QUOTA - 1}`);
  });

  test("let an address try so many wrong keys and no more", async () => {
    const answers = await ask(2 * QUOTA, () => makeApiKey().text);
    const unknown = answers.filter(({ status }) => status === 401);
    expect(unknown.length).toBe(QUOTA - FORGED);
    expect(answers.length - unknown.length).toBe(
      answers.filter(({ status }) => status === 429).length,
    );
    // Beyond it not even a right key is looked for.
    const [known] = await ask(1, () => key);
    expect([known?.status, known?.body["violated-policies"]]).toEqual([429, ["refusedKeys"]]);
  });
});

describe("windows in the database", () => {
  let service: RunningService;
  let connections: ReturnType<typeof connect>;
  let owner: pg.Client;

  beforeAll(async () => {
    service = await startService();
    connections = connect(service.appUrl, { connections: 8, onBroken: () => {} });
    owner = new pg.Client({ connectionString: service.ownerUrl });
    await owner.connect();
  });
  afterAll(async () => {
    await connections.close();
    await owner.end();
    await service.stop();
  });

  test("begin with the first request after the last has ended, and end on time", async () => {
    const counts = rateCountsOn(connections);
    const quota = { requests: 2, seconds: 30 };
    expect(await counts.look("address", "192.0.2.1")).toBeNull();
    const used = await Promise.all([1, 2, 3].map(() => counts.add("address", "192.0.2.1", quota)));
    expect(used.map((count) => count.used).sort()).toEqual([1, 2, 3]);
    for (const { msLeft } of used) expect(msLeft > 25_000 && msLeft <= 30_001).toBe(true);
    await owner.query("update rate_count set ends_at = now() where who = '192.0.2.1'");
    expect(await counts.look("address", "192.0.2.1")).toBeNull();
    expect((await counts.add("address", "192.0.2.1", quota)).used).toBe(1);
  });

  test("a hot key's row stays on its page: no index is written with each request", async () => {
    const counts = rateCountsOn(connections);
    const quota = { requests: 1_000, seconds: 30 };
    for (let n = 0; n < 200; n += 1) await counts.add("key", "hot", quota);
    await owner.query("select pg_stat_force_next_flush()");
    const { rows } = await owner.query(
      "select pg_relation_size('rate_count')::int as bytes, relpersistence as kept from pg_class where relname = 'rate_count'",
    );
    expect(rows[0].kept).toBe("u");
    expect(rows[0].bytes).toBeLessThanOrEqual(8 * 8192);
  });
});
