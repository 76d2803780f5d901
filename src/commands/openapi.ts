import { writeFile } from "node:fs/promises";
import { describe } from "../http/document.ts";
import { ROUTES } from "../http/routes/all.ts";
import { ownRoutes } from "../http/routes/own.ts";
import { TAGS } from "../http/tags.ts";
import { WEBHOOKS } from "../http/webhook-document.ts";
import { VERSION } from "../version.ts";

/** Where the committed description says that the API is; a running one names its own origin. */
const ORIGIN = "http://127.0.0.1:8080";

/** The committed description, byte for byte. */
export function writtenDescription(): string {
  const routes = [...ROUTES, ...ownRoutes(ORIGIN, ROUTES)];
  const description = { version: VERSION, tags: TAGS, webhooks: WEBHOOKS };
  return `${JSON.stringify(describe(routes, { baseUrl: ORIGIN, description }), null, 2)}\n`;
}

if (process.argv.includes("--write")) {
  await writeFile("openapi/openapi.json", writtenDescription());
  console.log("Wrote openapi/openapi.json.");
}
