import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { report } from "./support/report.ts";

/** Tables that a link could change. `link_use` is one of them: a refused form uses no nonce up. */
const TABLES = [
  "reading",
  "work_record",
  "reminder",
  "member",
  "lay_up",
  "message",
  "link_use",
  "event",
];
const LABELS = ["Post a reading", "Log the work", "Defer", "Start a lay-up", "Stop these emails"];

describe("links that somebody has changed, or opens for somebody else", () => {
  let service: RunningService;
  let rider: Awaited<ReturnType<typeof sandbox>>;
  let links: string[];
  let otherPost: string;
  let tries = 0;

  beforeAll(async () => {
    service = await startService();
    rider = await sandbox(service, "2026-04-01T08:00:00Z");
    const text = await mailed("Single 150");
    links = LABELS.map((label) => linkIn(text, label));
    otherPost = linkIn(await mailed("Twin 650"), "Post a reading");
  });
  afterAll(async () => {
    report({
      fault:
        "links: flipped bits, other purpose, other vehicle, expired, replayed forms, scanner's GET",
      ...{ backend: "-", tries, due: 0, sent: 0, lost: 0, repeated: 0 },
      note: "all refused, nothing changed",
    });
    await service.stop();
  });

  async function mailed(name: string): Promise<string> {
    const machine = { name, kind: "motorcycle", meterUnit: "km", inServiceOn: "2026-01-01" };
    const { body } = await rider.post("/v1/vehicles", { ...machine, declaredPerYear: 6000 });
    const at = `/v1/vehicles/${body.id}`;
    await rider.post(`${at}/tasks`, {
      title: "Chain",
      every: { distance: 1000 },
      lastWork: "never",
    });
    await rider.post(`${at}/readings`, { value: 850 });
    const { clock } = (await rider.get("/v1/account")).body;
    await rider.moveTo(new Date(Date.parse(clock) + 9 * 86_400_000).toISOString());
    const { items } = (await rider.get("/v1/messages?kind=reminder")).body;
    for (const { id } of items) {
      const { text } = (await rider.get(`/v1/messages/${id}`)).body;
      if (text.includes(name) && text.includes("Log the work")) return text;
    }
    throw new Error(`No mail about ${name}.`);
  }

  function linkIn(text: string, label: string): string {
    const url = new RegExp(`${label}: (\\S+)`).exec(text)?.[1];
    if (url === undefined) throw new Error(`No link "${label}" in:\n${text}`);
    return new URL(url).pathname;
  }

  async function rows(): Promise<string> {
    const client = new pg.Client({ connectionString: service.ownerUrl });
    await client.connect();
    const sums: string[] = [];
    for (const table of TABLES) {
      const { rows } = await client.query(
        `select md5(coalesce(string_agg(t::text, '|' order by t::text), '')) as sum from ${table} t`,
      );
      sums.push(rows[0].sum);
    }
    await client.end();
    return sums.join();
  }

  const open = (path: string, method = "GET") => {
    tries += 1;
    return fetch(service.baseUrl + path, { method, redirect: "manual" });
  };
  const send = (path: string, fields: Record<string, string>) => {
    tries += 1;
    return fetch(service.baseUrl + path, {
      method: "POST",
      headers: { "content-type": "application/x-www-form-urlencoded" },
      body: new URLSearchParams(fields).toString(),
    });
  };
  const nonceOf = async (path: string) =>
    /name="nonce" value="([^"]+)"/.exec(await (await open(path)).text())?.[1] ?? "";

  test("a scanner that opens every link, with GET and HEAD and again, changes nothing", async () => {
    const before = await rows();
    for (const path of [...links, ...links]) {
      expect((await open(path)).status).toBe(200);
      expect((await open(path, "HEAD")).status).toBeLessThan(500);
    }
    expect(await rows()).toBe(before);
  });

  test("a bit that is flipped anywhere opens nothing", async () => {
    const before = await rows();
    const [path = ""] = links;
    const token = path.replace("/links/", "");
    const [text = "", mac = ""] = token.split(".");
    const bytes = [Buffer.from(text, "base64url"), Buffer.from(mac, "base64url")] as const;
    for (const [part, whole] of bytes.entries()) {
      for (let bit = 0; bit < whole.length * 8; bit += part === 0 ? 7 : 3) {
        const flipped = Buffer.from(whole);
        flipped[bit >> 3] = (flipped[bit >> 3] ?? 0) ^ (1 << (bit & 7));
        const changed = flipped.toString("base64url");
        const forged = part === 0 ? `${changed}.${mac}` : `${text}.${changed}`;
        expect((await open(`/links/${forged}`)).status).toBe(404);
      }
    }
    const shown = await nonceOf(path);
    const forged = `/links/${text}x.${mac}`;
    expect((await send(forged, { nonce: shown, value: "900", unit: "km" })).status).toBe(404);
    expect(await rows()).toBe(before);
  });

  test("the parts of two links do not go together, nor does the nonce of another link", async () => {
    const before = await rows();
    const [post = "", log = ""] = links;
    const [, mac = ""] = post.replace("/links/", "").split(".");
    for (const other of [log, otherPost]) {
      const [text] = other.replace("/links/", "").split(".");
      expect((await open(`/links/${text}.${mac}`)).status).toBe(404);
    }
    const foreign = await nonceOf(otherPost);
    const answer = await send(post, { nonce: foreign, value: "900", unit: "km" });
    expect(answer.status).toBeGreaterThanOrEqual(400);
    expect(answer.status).toBeLessThan(500);
    const none = await send(post, { value: "900", unit: "km" });
    expect(none.status).toBeGreaterThanOrEqual(400);
    expect(await rows()).toBe(before);
  });

  test("fields of another machine in the form are not looked at", async () => {
    const [post = ""] = links;
    const list = (await rider.get("/v1/vehicles")).body.items;
    const twin = list.find(({ name }: { name: string }) => name === "Twin 650").id;
    const before = (await rider.get(`/v1/vehicles/${twin}/readings`)).body.items.length;
    const nonce = await nonceOf(post);
    const form = { nonce, value: "905", unit: "km", vehicleId: twin };
    expect((await send(post, form)).status).toBe(200);
    expect((await rider.get(`/v1/vehicles/${twin}/readings`)).body.items).toHaveLength(before);
    const after = await rows();
    expect((await send(post, form)).status).toBe(409);
    expect(await rows()).toBe(after);
  });

  test("one press unsubscribes once, a second changes nothing", async () => {
    const leave = links.at(-1) ?? "";
    const press = { "List-Unsubscribe": "One-Click" };
    expect((await send(leave, press)).status).toBe(200);
    const after = await rows();
    expect((await send(leave, press)).status).toBeLessThan(500);
    expect(await rows()).toBe(after);
  });

  test("an expired link does nothing but offer a fresh one", async () => {
    await rider.moveTo("2026-12-20T08:00:00Z");
    const before = await rows();
    for (const path of links.slice(0, 4)) {
      const page = await open(path);
      expect(page.status).toBe(410);
    }
    expect(await rows()).toBe(before);
  });
});
