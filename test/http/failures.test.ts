import type { AddressInfo } from "node:net";
import { connect } from "node:net";
import { setTimeout } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { PROBLEMS } from "../../src/http/problems.ts";
import { type LampApp, lampApp, OPERATOR_TOKEN } from "./support/lamp-app.ts";

let api: LampApp;
let key: string;

beforeAll(async () => {
  api = await lampApp();
  key = api.keyWith(["read", "write"]);
});
afterAll(() => api.app.close());

const MEBIBYTE = 1_048_576;
const json = { "content-type": "application/json" };
const post = (payload: string | object, headers: Record<string, string> = json) =>
  api.send(key, { method: "POST", url: "/v1/lamps", payload, headers });

describe("every failure is a problem", () => {
  it.each([
    ["an unknown path", "GET", "/v1/nothing", 404, "unknown-path"],
    ["a slash at the end", "GET", "/v1/lamps/", 404, "unknown-path"],
    ["another case", "GET", "/V1/lamps", 404, "unknown-path"],
    ["a broken escape", "GET", "/v1/lamps/%zz", 400, "malformed"],
    ["a path part without end", "GET", `/v1/lamps/${"a".repeat(600)}`, 414, "uri-too-long"],
    ["an id that is none", "GET", "/v1/lamps/left", 404, "not-found"],
    ["an unknown parameter", "GET", "/v1/lamps?colour=red", 422, "invalid"],
    ["a parameter given twice", "GET", "/v1/lamps?limit=1&limit=2", 422, "invalid"],
    ["a limit out of range", "GET", "/v1/lamps?limit=201", 422, "invalid"],
    ["a made-up cursor", "GET", "/v1/lamps?cursor=abc", 422, "invalid"],
    ["a NUL in the query", "GET", "/v1/lamps?name=a%00b", 422, "invalid"],
    ["a NUL in the path", "GET", "/v1/lamps/%00", 404, "not-found"],
  ] as const)("%s", async (_what, method, url, status, slug) => {
    const answer = await api.send(key, { method, url });
    expect(answer.statusCode).toBe(status);
    expect(answer.headers["content-type"]).toBe("application/problem+json");
    const body = answer.json();
    expect(body).toMatchObject({ status, type: `https://api.example.org/problems/${slug}` });
    expect(body.instance).toBe(answer.headers["x-request-id"]);
  });

  it("says with 405 which methods there are", async () => {
    const answer = await api.send(key, { method: "DELETE", url: "/v1/lamps" });
    expect(answer.statusCode).toBe(405);
    expect(answer.headers.allow).toBe("GET, HEAD, OPTIONS, POST");
    expect(answer.json().type).toMatch(/method-not-allowed$/);
  });

  it("hides what went wrong inside", async () => {
    const answer = await api.send(OPERATOR_TOKEN, { method: "POST", url: "/v1/explosions" });
    expect(answer.statusCode).toBe(500);
    expect(answer.body).not.toMatch(/hunter2|secret/);
    expect(answer.json().type).toMatch(/internal$/);
  });

  it("has a page for each type, without a key", async () => {
    for (const { slug, title } of Object.values(PROBLEMS)) {
      const page = await api.send(null, { method: "GET", url: `/problems/${slug}` });
      expect(page.statusCode).toBe(200);
      expect(page.headers["content-type"]).toMatch(/^text\/html/);
      expect(page.body).toContain(`<h1>${title.replaceAll("'", "&#39;")}</h1>`);
    }
  });

  it("gives each kind a slug of its own", () => {
    const slugs = Object.values(PROBLEMS).map(({ slug }) => slug);
    expect(new Set(slugs).size).toBe(slugs.length);
    for (const [kind, { example }] of Object.entries(PROBLEMS)) expect(example.kind).toBe(kind);
  });
});

describe("a body that cannot be read", () => {
  it.each([
    ["broken JSON", '{"name": "a",}', json, 400],
    ["JSON that ends too early", '{"name": "a"', json, 400],
    ["bytes that are not UTF-8", Buffer.from([0x7b, 0xff, 0x7d]), json, 400],
    ["another media type", "name=a", { "content-type": "application/x-www-form-urlencoded" }, 415],
    [
      "a merge patch where none is taken",
      "{}",
      { "content-type": "application/merge-patch+json" },
      415,
    ],
    ["a compressed body", "{}", { ...json, "content-encoding": "gzip" }, 415],
    ["more than a mebibyte", JSON.stringify({ name: "a".repeat(MEBIBYTE) }), json, 413],
  ])("%s", async (_what, payload, headers, status) => {
    const answer = await post(payload, headers);
    expect(answer.statusCode).toBe(status);
    expect(answer.headers["content-type"]).toBe("application/problem+json");
  });

  it.each([
    ["a number beyond a double", '{"name":"a","watts":1e400}', "#/watts"],
    ["a NUL", '{"name":"a\\u0000b"}', "#/name"],
    ["half a surrogate pair", '{"name":"\\ud800"}', "#/name"],
    ["a name that reaches for the prototype", '{"name":"a","__proto__":{"x":1}}', "#/__proto__"],
    ["nesting without end", `{"name":${"[".repeat(500)}${"]".repeat(500)}}`, "#/name"],
  ])("%s is refused and its field named", async (_what, payload, pointer) => {
    const answer = await post(payload);
    expect(answer.statusCode).toBe(422);
    expect(answer.json().errors[0].pointer).toMatch(new RegExp(`^${pointer}`));
    expect(({} as { x?: number }).x).toBeUndefined();
  });
});

describe("a body against its schema", () => {
  it("names every fault at once and says what would be right", async () => {
    const answer = await post({ watts: "5", colour: { red: 300 }, color: "red" });
    expect(answer.statusCode).toBe(422);
    expect(answer.json().detail).toMatch(/^[a-z/]+: (is|must) .*; errors has 4 more\.$/);
    expect(answer.json().errors).toEqual(
      expect.arrayContaining([
        { pointer: "#/name", detail: "is required; must be a text" },
        { pointer: "#/watts", detail: "must be a number" },
        { pointer: "#/colour/red", detail: "must be at most 255" },
        { pointer: "#/colour/green", detail: "is required; must be a number" },
        {
          pointer: "#/color",
          detail: "is not known here; known are name, watts, colour, boughtAt",
        },
      ]),
    );
  });

  it.each([
    ["null", "null"],
    ["a list", "[]"],
    ["a text", '"lamp"'],
  ])("takes no %s for an object", async (_what, payload) => {
    const answer = await post(payload);
    expect(answer.statusCode).toBe(422);
    expect(answer.json().errors).toEqual([{ pointer: "#", detail: "must be an object" }]);
    expect(answer.json().detail).toBe("the body: must be an object.");
  });

  it("treats a body that is missing as an empty one", async () => {
    const answer = await api.send(key, { method: "POST", url: "/v1/lamps" });
    expect(answer.statusCode).toBe(422);
    expect(answer.json().errors[0].pointer).toBe("#/name");
  });
});

describe("on the bare connection", () => {
  let port: number;
  beforeAll(async () => {
    await api.app.listen({ host: "127.0.0.1", port: 0 });
    port = (api.app.server.address() as AddressInfo).port;
  });

  const raw = (text: string) =>
    new Promise<string>((resolve, reject) => {
      let answer = "";
      const socket = connect(port, "127.0.0.1", () => socket.write(text));
      socket.on("data", (chunk) => {
        answer += String(chunk);
        socket.end();
      });
      socket.on("close", () => resolve(answer));
      socket.on("error", reject);
    });

  it.each([
    ["what is not HTTP", "hello\r\n\r\n", 400],
    ["an unknown method", "BREW /v1/lamps HTTP/1.1\r\nHost: a\r\n\r\n", 400],
    ["no Host", "GET /livez HTTP/1.1\r\n\r\n", 400],
    [
      "headers without end",
      `GET /livez HTTP/1.1\r\nHost: a\r\nX-A: ${"a".repeat(20_000)}\r\n\r\n`,
      431,
    ],
    ["an Expect that cannot be met", "GET /livez HTTP/1.1\r\nHost: a\r\nExpect: cake\r\n\r\n", 417],
    [
      "two lengths",
      "POST /v1/lamps HTTP/1.1\r\nHost: a\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\na",
      400,
    ],
  ])("%s is answered with a problem", async (_what, text, status) => {
    const answer = await raw(text);
    expect(answer).toMatch(new RegExp(`^HTTP/1.1 ${status} `));
    expect(answer).toMatch(/content-type: application\/problem\+json/i);
    const body = JSON.parse(answer.split("\r\n\r\n")[1] ?? "");
    expect(body.status).toBe(status);
  });

  it.each([
    ["its length told", `Content-Length: ${3 * MEBIBYTE}`, (part: string) => part],
    [
      "in chunks",
      "Transfer-Encoding: chunked",
      (part: string) => `${part.length.toString(16)}\r\n${part}\r\n`,
    ],
  ])(
    "a body that is too large, %s, is sent to its end, and so is the next request",
    async (_how, field, framed) => {
      const answers = await new Promise<string>((resolve, reject) => {
        let came = "";
        const socket = connect(port, "127.0.0.1", async () => {
          const type = "Content-Type: application/json";
          const authorization = `Authorization: Bearer ${key}`;
          socket.write(
            `POST /v1/lamps HTTP/1.1\r\nHost: a\r\n${type}\r\n${authorization}\r\n${field}\r\n\r\n`,
          );
          for (let sent = 0; sent < 3; sent += 1) {
            socket.write(framed(" ".repeat(MEBIBYTE)));
            await setTimeout(50);
          }
          if (field.startsWith("Transfer")) socket.write("0\r\n\r\n");
          socket.write("GET /livez HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n");
        });
        socket.on("data", (part) => {
          came += String(part);
        });
        socket.on("close", () => resolve(came));
        socket.on("error", reject);
      });
      expect(answers.match(/HTTP\/1\.1 \d+/g)).toEqual(["HTTP/1.1 413", "HTTP/1.1 200"]);
    },
  );
});
