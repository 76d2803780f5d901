import { connect, type Socket } from "node:net";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, clientOf, type Json } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { report } from "./support/report.ts";

const NIL = "01900000-0000-7000-8000-000000000000";
const JSON_TYPE = "application/json";
/** What else a request must say for its body to be looked at. */
const QUERIES: Record<string, string> = { "/v1/imports": "?kind=readings" };

/** Bodies that no operation can take, as they travel. */
const BODIES: Record<string, { text: string | Buffer<ArrayBuffer>; type?: string }> = {
  "broken JSON": { text: '{"name": ' },
  "nothing at all": { text: "" },
  "a lone string": { text: '"x"' },
  "a list": { text: "[]" },
  "deep nesting": { text: `${'{"a":'.repeat(20_000)}1${"}".repeat(20_000)}` },
  __proto__: { text: '{"__proto__": {"admin": true}}' },
  "a constructor": { text: '{"constructor": {"prototype": {"admin": true}}}' },
  "1e400": { text: '{"value": 1e400}' },
  "a huge integer": { text: `{"value": ${"9".repeat(400)}}` },
  "NUL in a name": { text: '{"name": "a\\u0000b"}' },
  "a lone surrogate": { text: '{"name": "a\\ud800b"}' },
  "the year 0000": { text: '{"at": "0000-01-01T00:00:00Z", "on": "0000-01-01"}' },
  "a date that does not exist": { text: '{"at": "2026-02-30T25:00:00Z"}' },
  "names twice": { text: '{"name": "a", "name": {"b": 1}}' },
  "broken UTF-8": { text: Buffer.from([0x7b, 0x22, 0xff, 0xfe, 0x22, 0x3a, 0x31, 0x7d]) },
  "UTF-16": { text: Buffer.from('{"name":"x"}', "utf16le") },
  "another media type": { text: "a=b", type: "application/x-www-form-urlencoded" },
  XML: { text: "<a/>", type: "application/xml" },
  "neither body nor media type": { text: "", type: "" },
  "no media type": { text: '{"name":"x"}', type: "" },
  "more than a mebibyte": { text: `{"name": "${"x".repeat(1_100_000)}"}` },
};

describe("bodies that nobody means well with", () => {
  let service: RunningService;
  let club: Client;
  let key: string;
  let operations: { method: string; path: string }[];
  const counts: Record<string, number> = {};

  beforeAll(async () => {
    service = await startService();
    const operator = clientOf(service.baseUrl, service.operatorToken);
    const owner = { name: "Robin", email: "robin@example.org", timeZone: "UTC" };
    const made = await operator.post("/v1/accounts", { name: "Invented riders", owner });
    key = made.body.apiKey.key;
    club = clientOf(service.baseUrl, key);
    const description = (await club.get("/openapi.json")).body;
    operations = Object.entries(description.paths).flatMap(([path, item]) =>
      Object.entries(item as Json)
        .filter(([, operation]) => (operation as Json).requestBody !== undefined)
        .map(([method]) => ({ method: method.toUpperCase(), path })),
    );
  });
  afterAll(() => service.stop());

  test("every operation that takes a body refuses each of them, and never breaks", async () => {
    expect(operations.length).toBeGreaterThan(20);
    let tries = 0;
    for (const { method, path } of operations) {
      const url = service.baseUrl + path.replaceAll(/\{[^}]+\}/g, NIL) + (QUERIES[path] ?? "");
      const token = path === "/v1/accounts" ? service.operatorToken : key;
      for (const [name, { text, type = JSON_TYPE }] of Object.entries(BODIES)) {
        // Forecasts take eight mebibytes; a mebibyte of it is only wrong.
        const answer = await fetch(url, {
          method,
          headers: {
            authorization: `Bearer ${token}`,
            ...(type !== "" && { "content-type": type }),
            "if-match": '"1"',
          },
          body: text === "" && type === "" ? null : text,
        });
        tries += 1;
        counts[answer.status] = (counts[answer.status] ?? 0) + 1;
        const body = await answer.text();
        const where = `${method} ${path} with ${name}: ${answer.status} ${body.slice(0, 200)}`;
        // Where nothing at all is sent, an operation without required fields may do its work.
        if (text === "" && answer.status < 300) continue;
        expect(answer.status, where).toBeGreaterThanOrEqual(400);
        expect(answer.status, where).toBeLessThan(500);
        expect(answer.headers.get("content-type"), where).toContain("application/problem+json");
      }
    }
    report({
      fault: "hostile bodies, every operation that takes one",
      ...{ backend: "-", tries, due: 0, sent: 0, lost: 0, repeated: 0 },
      note: `${operations.length} operations; ${Object.entries(counts)
        .map(([status, n]) => `${status}: ${n}`)
        .join(", ")}`,
    });
  }, 120_000);

  test("addresses that nobody can read are refused, and never break", async () => {
    const odd = [
      ...[
        "/v1/vehicles/%",
        "/v1/vehicles/%ff%fe",
        "/v1/vehicles/%00",
        "/v1/vehicles/..%2f..%2fetc",
      ],
      ...["/v1/vehicles?limit=1e9", "/v1/vehicles?limit=-1", "/v1/vehicles?limit=1&limit=2"],
      ...["/v1/vehicles?cursor=x", "/v1/vehicles?__proto__[a]=1", `/v1/${"x".repeat(9000)}`],
      ...["/v1/vehicles?updatedAfter=0000-01-01T00:00:00Z", "/v1//vehicles", "/V1/vehicles"],
    ];
    for (const path of odd) {
      const answer = await rawly(
        `GET ${path} HTTP/1.1\r\nHost: a\r\nAuthorization: Bearer ${key}\r\nConnection: close\r\n\r\n`,
      );
      expect(answer, path.slice(0, 80)).toMatch(/^HTTP\/1\.1 4\d\d /);
    }
  });

  test("what HTTP itself forbids is refused, and the next caller is answered", async () => {
    const head = `POST /v1/vehicles HTTP/1.1\r\nHost: a\r\nAuthorization: Bearer ${key}\r\nContent-Type: application/json\r\n`;
    const odd = [
      `${head}Transfer-Encoding: chunked\r\n\r\nzz\r\n{}\r\n0\r\n\r\n`,
      `${head}Content-Length: -1\r\n\r\n{}`,
      `${head}Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}`,
      `${head}Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n{}`,
      `GET / HTTP/9.9\r\n\r\n`,
      `${"A".repeat(40_000)}\r\n\r\n`,
      `GET / HTTP/1.1\r\nHost: a\r\nX: ${"y".repeat(60_000)}\r\n\r\n`,
      "\u0000\u0001\u0002\r\n\r\n",
    ];
    for (const text of odd) {
      const answer = await rawly(text);
      expect(answer, text.slice(0, 60)).toMatch(/^(HTTP\/1\.1 4\d\d |$)/);
    }
    expect((await club.get("/v1/vehicles")).status).toBe(200);
  });

  test.each([
    ["headers", "GET /v1/vehicles HTTP/1.1\r\nHost: a\r\n", "X-Slow: 1\r\n"],
    [
      "a body",
      "POST /v1/vehicles HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\nContent-Length: 5000\r\n\r\n",
      " ",
    ],
  ])("%s that come a byte at a time are cut off within 10 s", async (_, head, drop) => {
    const socket = connect(Number(new URL(service.baseUrl).port), "127.0.0.1");
    const begun = Date.now();
    socket.on("error", () => {});
    socket.write(head.replace("Host: a\r\n", `Host: a\r\nAuthorization: Bearer ${key}\r\n`));
    const timer = setInterval(() => socket.write(drop), 200);
    await closed(socket);
    clearInterval(timer);
    const seconds = (Date.now() - begun) / 1000;
    report({
      fault: `slow ${_}`,
      ...{ backend: "-", tries: 1, due: 0, sent: 0, lost: 0, repeated: 0 },
      note: `closed after ${seconds.toFixed(1)} s`,
    });
    expect(seconds).toBeLessThan(10);
  });

  /** Sends bytes as they are; answers what came back until the connection was closed. */
  function rawly(text: string): Promise<string> {
    return new Promise((resolve) => {
      const socket = connect(Number(new URL(service.baseUrl).port), "127.0.0.1");
      let answer = "";
      socket.on("data", (chunk) => {
        answer += chunk.toString("latin1");
        socket.end();
      });
      socket.on("error", () => {});
      socket.on("close", () => resolve(answer));
      socket.setTimeout(12_000, () => socket.destroy());
      socket.write(text);
    });
  }

  function closed(socket: Socket): Promise<void> {
    return new Promise((resolve) => {
      socket.on("close", () => resolve());
      socket.resume();
    });
  }
});
