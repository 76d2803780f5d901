import { createHash } from "node:crypto";
import { html, raw } from "hono/html";
import { z } from "zod";
import { Refusal } from "../../domain/failure/failure.ts";
import { pageSecurity } from "../plugins/security-headers.ts";
import { PROBLEMS, type ProblemKind, toProblem } from "../problems.ts";
import { type Route, routeMaker } from "../route.ts";

const defineRoute = routeMaker<unknown>();

const STYLE = `
:root { color-scheme: light dark; --paper: #fbfaf5; --ink: #1d2226; --quiet: #5a5f63; --rule: #8d887b; --accent: #0b5a60; }
@media (prefers-color-scheme: dark) { :root { --paper: #14181a; --ink: #ece8df; --quiet: #a9adaf; --rule: #8d918f; --accent: #82cfc9; } }
body { margin: 0 auto; max-width: 36rem; padding: 1rem; background: var(--paper); color: var(--ink); font: 17px/1.5 system-ui, sans-serif; }
header { display: flex; flex-wrap: wrap; justify-content: space-between; border-bottom: 2px solid var(--rule); color: var(--quiet); }
h1 { font-size: 1.4rem; line-height: 1.25; }
h2 { font-size: 1rem; margin-bottom: 0; }
p { margin-top: 0.25rem; }
a { color: var(--accent); }
pre { border-top: 1px solid var(--rule); border-bottom: 1px solid var(--rule); padding: 0.5rem 0; white-space: pre-wrap; overflow-wrap: anywhere; }
`;

const SECURITY = pageSecurity(`sha256-${createHash("sha256").update(STYLE).digest("base64")}`);
const ENTRIES = new Map(Object.values(PROBLEMS).map((entry) => [entry.slug, entry.example.kind]));

const answers = {
  200: {
    description: "The page.",
    media: { "text/html": { schema: z.string(), example: "<!doctype html>" } },
  },
};

/** The pages to which the `type` of each problem leads. */
export function problemPageRoutes(baseUrl: string): readonly Route<unknown>[] {
  const one = defineRoute({
    operationId: "getProblemPage",
    method: "GET",
    path: "/problems/{slug}",
    tag: "Problems",
    summary: "What a problem means",
    description: "A page that explains the cause and the cure of one type of problem.",
    access: { open: true },
    params: z.strictObject({
      slug: z.enum([...ENTRIES.keys()]).meta({ description: "Last step of a problem's type." }),
    }),
    answers,
    handle: async ({ params }) => {
      const kind = ENTRIES.get(params.slug);
      if (kind === undefined) throw new Refusal({ kind: "notFound", resource: "problem" });
      return asPage(problemPage(kind, baseUrl));
    },
  });
  const all = defineRoute({
    operationId: "listProblemPages",
    method: "GET",
    path: "/problems",
    tag: "Problems",
    summary: "All problems",
    description: "A page that lists every type of problem that this API answers with.",
    access: { open: true },
    answers,
    handle: async () => asPage(problemList()),
  });
  return [all, one];
}

function asPage(body: string) {
  return { status: 200, type: "text/html; charset=utf-8", body, headers: SECURITY };
}

function problemPage(kind: ProblemKind, baseUrl: string): string {
  const { title, status, slug, cause, cure, example } = PROBLEMS[kind];
  const { body } = toProblem(example, baseUrl, "0199f2a4-example");
  return page(
    title,
    html`<h1>${title}</h1>
      <p>Status ${status}, type <code>${slug}</code></p>
      <h2>Why it is answered</h2>
      <p>${cause}</p>
      <h2>What to do</h2>
      <p>${cure}</p>
      <h2>An example</h2>
      <pre>${JSON.stringify(body, null, 2)}</pre>
      <p><a href="/problems">All problems</a></p>`,
  );
}

function problemList(): string {
  const entries = [...ENTRIES.values()].map((kind) => PROBLEMS[kind]);
  const rows = entries.map(
    ({ slug, status, title }) => html`<li>${status} <a href="/problems/${slug}">${title}</a></li>`,
  );
  return page("Problems", html`<h1>Problems that the API answers with</h1><ul>${rows}</ul>`);
}

type Markup = ReturnType<typeof html>;

function page(title: string, content: Markup): string {
  return String(html`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>${raw(STYLE)}</style>
</head>
<body><header><span>Forewheel</span><span>A problem, explained</span></header><main>${content}</main></body>
</html>
`);
}
