import { Writable } from "node:stream";
import { pino } from "pino";
import { describe, expect, it } from "vitest";
import { lampApp } from "./support/lamp-app.ts";

const TRACE = "0af7651916cd43dd8448eb211c80319c";

describe("in operation", () => {
  it("is ready until it begins to stop or what it stands on is away", async () => {
    let up = true;
    const api = await lampApp({ ports: { ready: async () => up } });
    const status = async (url: string) => (await api.send(null, { method: "GET", url })).statusCode;
    expect(await status("/readyz")).toBe(200);
    up = false;
    expect(await status("/readyz")).toBe(503);
    up = true;
    api.beginShutdown();
    expect([await status("/readyz"), await status("/livez")]).toEqual([503, 200]);
    await api.app.close();
  });

  it("keeps no connection alive once it begins to stop", async () => {
    const api = await lampApp();
    const kept = async () =>
      (await api.send(null, { method: "GET", url: "/livez" })).headers.connection;
    expect(await kept()).not.toBe("close");
    api.beginShutdown();
    expect(await kept()).toBe("close");
    await api.app.close();
  });

  it("counts by operation", async () => {
    const api = await lampApp();
    await api.send(null, { method: "GET", url: "/v1/lamps" });
    const metrics = await api.send(null, { method: "GET", url: "/metrics" });
    expect(metrics.headers["content-type"]).toMatch(/^text\/plain/);
    expect(metrics.body).toContain(
      'http_request_duration_seconds_count{operation="listLamps",status="401"} 1',
    );
    await api.app.close();
  });

  it("writes one line a request with its id and trace, and neither key nor query", async () => {
    const lines: string[] = [];
    const sink = new Writable({
      write(chunk, _encoding, done) {
        lines.push(String(chunk));
        done();
      },
    });
    const api = await lampApp({ logger: pino(sink) });
    const key = api.keyWith(["read"]);
    const headers = {
      "x-request-id": "tour-17",
      traceparent: `00-${TRACE}-b7ad6b7169203331-01`,
    };
    const answer = await api.send(key, { method: "GET", url: "/v1/lamps?name=hush", headers });
    expect(answer.headers["x-request-id"]).toBe("tour-17");
    expect(lines).toHaveLength(1);
    expect(JSON.parse(lines[0] ?? "")).toMatchObject({
      requestId: "tour-17",
      traceId: TRACE,
      operation: "listLamps",
      status: 200,
    });
    expect(lines.join()).not.toContain("hush");
    expect(lines.join()).not.toContain(key.slice(20));
    await api.app.close();
  });

  it("makes an id of its own where the caller's is not sane", async () => {
    const api = await lampApp();
    for (const id of ["", "a b", "a:b", "<x>", "a".repeat(129)]) {
      const headers = { "x-request-id": id };
      const answer = await api.send(null, { method: "GET", url: "/livez", headers });
      expect(answer.headers["x-request-id"]).toMatch(/^[0-9a-f-]{36}$/);
    }
    await api.app.close();
  });

  it("lets browsers call from the origins of accounts alone", async () => {
    const ours = "https://board.example.org";
    const api = await lampApp({ ports: { allowsOrigin: async (origin) => origin === ours } });
    const preflight = (origin: string) =>
      api.send(null, {
        method: "OPTIONS",
        url: "/v1/lamps",
        headers: { origin, "access-control-request-method": "POST" },
      });
    const allowed = await preflight(ours);
    expect(allowed.statusCode).toBe(204);
    expect(allowed.headers["access-control-allow-origin"]).toBe(ours);
    expect(allowed.headers["access-control-allow-headers"]).toContain("Authorization");
    const other = await preflight("https://elsewhere.example.net");
    expect(other.headers["access-control-allow-origin"]).toBeUndefined();
    await api.app.close();
  });

  it("sends headers that keep answers from being run or framed", async () => {
    const api = await lampApp();
    for (const url of ["/livez", "/nothing"]) {
      const { headers } = await api.send(null, { method: "GET", url });
      expect(headers["x-content-type-options"]).toBe("nosniff");
      expect(headers["content-security-policy"]).toMatch(/^default-src 'none'/);
    }
    await api.app.close();
  });
});
