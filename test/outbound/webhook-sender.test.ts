import { createServer, type RequestListener } from "node:http";
import type { AddressInfo } from "node:net";
import { afterEach, describe, expect, test } from "vitest";
import { isPublicAddress } from "../../src/application/webhooks/public-address.ts";
import { lookupPublic } from "../../src/outbound/public-address.ts";
import { webhookSender } from "../../src/outbound/webhook-sender.ts";

const closing: (() => void)[] = [];
afterEach(() => {
  for (const close of closing.splice(0)) close();
});

/** A receiver on this machine; answers its address and what it was posted. */
async function receiver(listener: RequestListener) {
  const server = createServer(listener);
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  closing.push(() => {
    server.closeAllConnections();
    server.close();
  });
  const { port } = server.address() as AddressInfo;
  return `http://127.0.0.1:${port}/hook`;
}

const inside = webhookSender({ allowPrivate: true, timeoutMs: 1_000 });
const outside = webhookSender({ allowPrivate: false, timeoutMs: 1_000 });
const posted = { headers: { "content-type": "application/json", "webhook-id": "1" }, body: "{}" };

describe("a receiver", () => {
  test("is posted the body with its headers, and its answer is kept on one line", async () => {
    const seen: unknown[] = [];
    const url = await receiver((request, response) => {
      let body = "";
      request.on("data", (chunk) => {
        body += chunk;
      });
      request.on("end", () => {
        seen.push([request.method, request.url, request.headers["webhook-id"], body]);
        response.writeHead(202).end("thank\r\nyou");
      });
    });
    expect(await inside.send({ url, ...posted })).toEqual({
      kind: "answered",
      status: 202,
      retryAfterMs: null,
      text: "thank you",
    });
    expect(seen).toEqual([["POST", "/hook", "1", "{}"]]);
  });

  test("is not followed to another address", async () => {
    let followed = 0;
    const other = await receiver((_request, response) => {
      followed += 1;
      response.end();
    });
    const url = await receiver((_request, response) => {
      response.writeHead(307, { location: other }).end();
    });
    expect(await inside.send({ url, ...posted })).toMatchObject({ status: 307 });
    expect(followed).toBe(0);
  });

  test("may ask for time", async () => {
    const url = await receiver((_request, response) => {
      response.writeHead(503, { "retry-after": "120" }).end();
    });
    expect(await inside.send({ url, ...posted })).toMatchObject({ retryAfterMs: 120_000 });
  });

  test("that says nothing, or never ends, is given up in time", async () => {
    const silent = await receiver(() => {});
    const begun = Date.now();
    expect(await inside.send({ url: silent, ...posted })).toEqual({
      kind: "unreached",
      why: "No answer within 1 s.",
    });
    expect(Date.now() - begun).toBeLessThan(3_000);
    const endless = await receiver((_request, response) => {
      const timer = setInterval(() => response.write("x".repeat(10_000)), 5);
      response.on("close", () => clearInterval(timer));
    });
    expect(await inside.send({ url: endless, ...posted })).toMatchObject({ kind: "answered" });
    expect(Date.now() - begun).toBeLessThan(6_000);
  });

  test("that is not there is told in words", async () => {
    const answer = await inside.send({ url: "http://127.0.0.1:1/", ...posted });
    expect(answer).toMatchObject({ kind: "unreached", why: expect.stringMatching(/\S/) });
  });
});

describe("a target that would reach inside", () => {
  // Ranges from the IANA special-purpose address registries (RFC 6890 and its successors).
  const INSIDE = [
    ...["127.0.0.1", "10.1.2.3", "172.16.0.1", "192.168.1.1", "169.254.169.254", "0.0.0.0"],
    ...["100.64.0.1", "224.0.0.1", "240.0.0.1", "255.255.255.255", "198.18.0.1", "192.0.2.1"],
    ...["::1", "::", "fe80::1", "fc00::1", "fd12:3456::1", "ff02::1", "::ffff:127.0.0.1"],
    ...["::ffff:10.0.0.1", "64:ff9b::7f00:1", "2001:db8::1", "2002:7f00:1::"],
  ];

  test.each(INSIDE)("%s is no address of the public internet", async (address) => {
    expect(isPublicAddress(address)).toBe(false);
    const host = address.includes(":") ? `[${address}]` : address;
    const answer = await outside.send({ url: `https://${host}/`, ...posted });
    expect(answer).toMatchObject({ kind: "unreached", why: expect.stringContaining("public") });
  });

  test("addresses of the public internet are", () => {
    for (const address of ["1.1.1.1", "93.184.216.34", "2606:4700::1111"]) {
      expect(isPublicAddress(address), address).toBe(true);
    }
  });

  test("a name that leads inside is refused when it is connected to", async () => {
    const answer = await outside.send({ url: "https://localhost/", ...posted });
    expect(answer).toEqual({
      kind: "unreached",
      why: "localhost is not an address of the public internet.",
    });
  });

  test("the same in every way in which a socket asks for addresses", async () => {
    for (const options of [{ all: true }, { all: false }, { family: 4 }]) {
      const error = await new Promise((resolve) => lookupPublic("localhost", options, resolve));
      expect(error).toBeInstanceOf(Error);
    }
  });

  test("odd ways to write an address inside come to the same", async () => {
    for (const host of ["2130706433", "0x7f000001", "127.1", "0177.0.0.1"]) {
      const answer = await outside.send({ url: `https://${host}/`, ...posted });
      expect(answer, host).toMatchObject({ kind: "unreached" });
      expect((answer as { why: string }).why).toContain("public");
    }
  });

  test("without TLS nothing is posted to the public internet", async () => {
    const answer = await outside.send({ url: "http://fleet.example.org/", ...posted });
    expect(answer).toEqual({ kind: "unreached", why: "Only https: addresses are delivered to." });
  });
});
