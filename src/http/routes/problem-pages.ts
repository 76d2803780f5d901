import { html } from "hono/html";
import { z } from "zod";
import { Refusal } from "../../domain/failure/failure.ts";
import { asPage, docsPage, PAGE_ANSWERS } from "../docs-page.ts";
import { problemsOf } from "../document-answers.ts";
import { PROBLEMS, type ProblemKind, toProblem } from "../problems.ts";
import { type Route, routeMaker } from "../route.ts";

const defineRoute = routeMaker<unknown>();

const KICKER = "A problem, explained";
const ENTRIES = new Map(Object.values(PROBLEMS).map((entry) => [entry.slug, entry.example.kind]));

/** The pages to which the `type` of each problem leads. */
export function problemPageRoutes(
  baseUrl: string,
  resources: readonly Route<never>[],
): readonly Route<unknown>[] {
  const answering = (kind: ProblemKind) =>
    resources.filter((route) => problemsOf(route).includes(kind));
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
    answers: PAGE_ANSWERS,
    handle: async ({ params }) => {
      const kind = ENTRIES.get(params.slug);
      if (kind === undefined) throw new Refusal({ kind: "notFound", resource: "problem" });
      return asPage(problemPage(kind, baseUrl, answering(kind)));
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
    answers: PAGE_ANSWERS,
    handle: async () => asPage(problemList()),
  });
  return [all, one];
}

function problemPage(
  kind: ProblemKind,
  baseUrl: string,
  operations: readonly Route<never>[],
): string {
  const { title, status, slug, cause, cure, example } = PROBLEMS[kind];
  const { body } = toProblem(example, baseUrl, "0199f2a4-example");
  return docsPage(
    title,
    KICKER,
    html`<h1>${title}</h1>
      <p>Status ${status}, type <code>${slug}</code></p>
      <h2>Why it is answered</h2>
      <p>${cause}</p>
      <h2>What to do</h2>
      <p>${cure}</p>
      <h2>An example</h2>
      <pre>${JSON.stringify(body, null, 2)}</pre>
      <h2>Which operations answer it</h2>
      ${answeredBy(operations)}
      <p><a href="/problems">All problems</a></p>`,
  );
}

/** Worked out from the operations' contracts. */
function answeredBy(operations: readonly Route<never>[]) {
  if (operations.length === 0) return html`<p>None: it is answered before one is reached.</p>`;
  const rows = operations.map(
    ({ method, path, summary }) => html`<li><code>${method} ${path}</code> ${summary}</li>`,
  );
  const list = html`<ul>${rows}</ul>`;
  if (operations.length <= FEW) return list;
  return html`<details><summary>${operations.length} operations</summary>${list}</details>`;
}

/** More operations than these are shown to who asks. */
const FEW = 12;

function problemList(): string {
  const entries = [...ENTRIES.values()].map((kind) => PROBLEMS[kind]);
  const rows = entries.map(
    ({ slug, status, title }) => html`<li>${status} <a href="/problems/${slug}">${title}</a></li>`,
  );
  return docsPage(
    "Problems",
    KICKER,
    html`<h1>Problems that the API answers with</h1><ul>${rows}</ul>`,
  );
}
