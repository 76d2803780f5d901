import { spawn } from "node:child_process";
import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { GUIDES } from "../../src/content/guides/all.ts";
import { type RunningService, startService } from "../support/service.ts";

/** What a reader of a page copies and compares. */
type Block =
  | { kind: "commands" | "printed"; text: string }
  | { kind: "program"; name: string; text: string };

let service: RunningService;
let folder: string;
beforeAll(async () => {
  service = await startService();
  folder = await mkdtemp(join(tmpdir(), "guides-"));
});
afterAll(async () => {
  await service.stop();
  await rm(folder, { recursive: true });
});

const ENTITIES: Record<string, string> = { lt: "<", gt: ">", quot: '"', "#39": "'", amp: "&" };

async function blocksOf(path: string): Promise<Block[]> {
  const page = await fetch(service.baseUrl + path);
  expect(page.status).toBe(200);
  const text = await page.text();
  const blocks = [
    ...text.matchAll(
      /<pre class="(commands|printed|program)"(?: title="([^"]+)")?>([^<]*)<\/pre>/g,
    ),
  ].map(([, kind, name, content = ""]) => ({
    kind,
    name,
    text: content.replaceAll(/&(lt|gt|quot|#39|amp);/g, (_all, entity) => ENTITIES[entity] ?? ""),
  }));
  // A block of another kind would be shown and not run.
  expect(blocks).toHaveLength(text.split("<pre").length - 1);
  return blocks as Block[];
}

/**
 * Enters the commands one after another in one shell that stops at the first fault, programs saved
 * beforehand, and answers what each printed.
 */
async function entered(blocks: readonly Block[], name: string): Promise<string[]> {
  const place = join(folder, name);
  await mkdir(join(place, ".local"), { recursive: true });
  const up = { baseUrl: service.baseUrl, operatorToken: service.operatorToken };
  await writeFile(join(place, ".local/up.json"), JSON.stringify(up));
  const lines = ["set -euo pipefail"];
  let commands = 0;
  for (const block of blocks) {
    if (block.kind === "program") await writeFile(join(place, block.name), block.text);
    if (block.kind !== "commands") continue;
    lines.push(`{\n${block.text}\n} > .printed-${commands}`);
    commands += 1;
  }
  await writeFile(join(place, "enter.sh"), `${lines.join("\n")}\n`);
  const { code, faults } = await shell(place);
  expect(code, faults).toBe(0);
  return Promise.all(
    Array.from({ length: commands }, (_, n) => readFile(join(place, `.printed-${n}`), "utf8")),
  );
}

function shell(cwd: string): Promise<{ code: number | null; faults: string }> {
  return new Promise((resolve, reject) => {
    const { PATH, HOME } = process.env;
    const bash = spawn("bash", ["enter.sh"], { cwd, env: { PATH, HOME } });
    let faults = "";
    bash.stderr.on("data", (chunk) => {
      faults += String(chunk);
    });
    bash.on("error", reject);
    bash.on("close", (code) => resolve({ code, faults }));
  });
}

/** Ids, and instants of the real clock, are others in each run. */
function normal(text: string): string {
  return text
    .trim()
    .replaceAll(/[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}/g, "<id>")
    .replaceAll(/\d{4}-\d\d-\d\dT[\d:.]+Z/g, "<instant>");
}

describe("the guides", () => {
  test("are those of the index, which the description and each other lead to", async () => {
    const index = await (await fetch(`${service.baseUrl}/docs/guides`)).text();
    const linked = [...index.matchAll(/href="\/docs\/guides\/([a-z]+)"/g)].map(([, slug]) => slug);
    expect(linked).toEqual(GUIDES.map(({ slug }) => slug));
    const description = await (await fetch(`${service.baseUrl}/openapi.json`)).text();
    expect(description).toContain("/docs/guides");
    expect((await fetch(`${service.baseUrl}/docs/guides/none`)).status).toBe(404);
  });

  test.each(GUIDES.map(({ slug }) => slug))(
    "%s: each command and program of it does what it says",
    { timeout: 120_000 },
    async (slug) => {
      const begin = await blocksOf("/docs/guides");
      const blocks = await blocksOf(`/docs/guides/${slug}`);
      for (const [index, block] of blocks.entries()) {
        if (block.kind === "printed") expect(blocks[index - 1]?.kind).toBe("commands");
        if (block.kind !== "program") continue;
        const later = blocks.slice(index).filter(({ kind }) => kind === "commands");
        expect(later.some(({ text }) => text.includes(`node ${block.name}`))).toBe(true);
      }
      const printed = await entered([...begin, ...blocks], slug);
      const own = printed.slice(begin.filter(({ kind }) => kind === "commands").length);
      const shown = blocks.flatMap((block, index) => {
        if (block.kind !== "commands") return [];
        const next = blocks[index + 1];
        return [next?.kind === "printed" ? next.text : ""];
      });
      expect(shown.length).toBeGreaterThan(1);
      expect(own.map(normal)).toEqual(shown.map(normal));
    },
  );
});
