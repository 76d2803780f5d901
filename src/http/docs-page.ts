import { createHash } from "node:crypto";
import { html, raw } from "hono/html";
import { z } from "zod";
import { pageSecurity } from "./plugins/security-headers.ts";

const STYLE = `
:root { color-scheme: light dark; --paper: #fbfaf5; --ink: #1d2226; --quiet: #5a5f63; --rule: #8d887b; --accent: #0b5a60; }
@media (prefers-color-scheme: dark) { :root { --paper: #14181a; --ink: #ece8df; --quiet: #a9adaf; --rule: #8d918f; --accent: #82cfc9; } }
body { margin: 0 auto; max-width: 36rem; padding: 1rem; background: var(--paper); color: var(--ink); font: 17px/1.5 system-ui, sans-serif; }
header { display: flex; flex-wrap: wrap; justify-content: space-between; border-bottom: 2px solid var(--rule); color: var(--quiet); }
h1 { font-size: 1.4rem; line-height: 1.25; }
h2 { font-size: 1.1rem; margin-bottom: 0; }
h3 { font-size: 0.95rem; margin: 0.75rem 0 0; }
h3 + ul { margin-top: 0.25rem; }
p { margin-top: 0.25rem; }
a { color: var(--accent); }
code, summary { overflow-wrap: anywhere; }
ul { padding-left: 1.2rem; }
figure { margin: 0.75rem 0; }
figcaption { color: var(--quiet); font-size: 0.85rem; }
pre { margin: 0; font-size: 0.85rem; border-top: 1px solid var(--rule); border-bottom: 1px solid var(--rule); padding: 0.5rem 0; white-space: pre-wrap; overflow-wrap: anywhere; }
`;

const SECURITY = pageSecurity(`sha256-${createHash("sha256").update(STYLE).digest("base64")}`);

/** How a route that shows such a page answers, for its contract. */
export const PAGE_ANSWERS = {
  200: {
    description: "The page.",
    media: { "text/html": { schema: z.string(), example: "<!doctype html>" } },
  },
};

type Markup = ReturnType<typeof html>;

export function asPage(body: string) {
  return { status: 200, type: "text/html; charset=utf-8", body, headers: SECURITY };
}

/** A page of the documentation; `kicker` says in the head what kind of page it is. */
export function docsPage(title: string, kicker: string, content: Markup): string {
  return String(html`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>${raw(STYLE)}</style>
</head>
<body><header><a href="/docs">Forewheel</a><span>${kicker}</span></header><main>${content}</main></body>
</html>
`);
}
