import { writeFile } from "node:fs/promises";
import { describe } from "../http/document.ts";
import { ROUTES } from "../http/routes/all.ts";
import { ownRoutes } from "../http/routes/own.ts";
import { TAGS } from "../http/tags.ts";
import { WEBHOOKS } from "../http/webhook-document.ts";
import { VERSION } from "../version.ts";
import { redocly } from "./redocly.ts";

/** Where the committed description says that the API is; a running one names its own origin. */
const ORIGIN = "http://127.0.0.1:8080";

/** The committed description, byte for byte. */
export function writtenDescription(): string {
  const routes = [...ROUTES, ...ownRoutes(ORIGIN, ROUTES)];
  const description = { version: VERSION, tags: TAGS, webhooks: WEBHOOKS };
  return `${JSON.stringify(describe(routes, { baseUrl: ORIGIN, description }), null, 2)}\n`;
}

/**
 * Has a kept tool look at the committed description, as openapi/redocly.yaml says: lint it, or make
 * the typed client of it. @throws Error with what the tool prints where it finds a fault
 */
export async function checkOrGenerate(args: readonly string[]): Promise<void> {
  await redocly([...args, "--config=openapi/redocly.yaml"]);
}

if (process.argv.includes("--write")) {
  await writeFile("openapi/openapi.json", writtenDescription());
  await checkOrGenerate(["generate-client", "forewheel"]);
  console.log("Wrote openapi/openapi.json, and openapi/client.ts of it.");
}
// What is released is kept as it is: a test holds that no later document breaks its clients.
if (process.argv.includes("--release")) {
  const kept = `openapi/released/${VERSION}.json`;
  await writeFile(kept, `${JSON.stringify(JSON.parse(writtenDescription()))}\n`);
  console.log(`Wrote ${kept}.`);
}
