import { html } from "hono/html";
import { z } from "zod";
import { GUIDES } from "../../content/guides/all.ts";
import { BEGIN } from "../../content/guides/begin.ts";
import type { Guide, Part } from "../../content/guides/guide.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { asPage, docsPage, PAGE_ANSWERS } from "../docs-page.ts";
import { routeMaker } from "../route.ts";

const defineRoute = routeMaker<unknown>();

const KICKER = "For whoever builds on the API";
const BY_SLUG = new Map(GUIDES.map((guide) => [guide.slug, guide]));

const all = defineRoute({
  operationId: "listGuides",
  method: "GET",
  path: "/docs/guides",
  tag: "Guides",
  summary: "All guides",
  description: "A page that lists the guides, and how their commands are entered.",
  access: { open: true },
  answers: PAGE_ANSWERS,
  handle: async () => asPage(docsPage("Guides", KICKER, guideList())),
});

const one = defineRoute({
  operationId: "getGuide",
  method: "GET",
  path: "/docs/guides/{slug}",
  tag: "Guides",
  summary: "One guide",
  description: "A page that leads through one kind of use, step by step, with what goes wrong.",
  access: { open: true },
  params: z.strictObject({
    slug: z.enum([...BY_SLUG.keys()]).meta({ description: "Which guide." }),
  }),
  answers: PAGE_ANSWERS,
  handle: async ({ params }) => {
    const guide = BY_SLUG.get(params.slug);
    if (guide === undefined) throw new Refusal({ kind: "notFound", resource: "guide" });
    return asPage(docsPage(guide.title, KICKER, guidePage(guide)));
  },
});

function guideList() {
  const rows = GUIDES.map(
    ({ slug, title, about }) =>
      html`<li><a href="/docs/guides/${slug}">${title}</a><br>${about}</li>`,
  );
  return html`<h1>Guides</h1>
    <ul>${rows}</ul>
    <h2>Before you begin</h2>
    ${BEGIN.map(shownPart)}
    <p>Every operation stands at <a href="/docs">/docs</a>, every problem at <a href="/problems">/problems</a>.</p>`;
}

function guidePage({ title, about, sections }: Guide) {
  return html`<h1>${title}</h1>
    <p>${about} The commands follow on those of <a href="/docs/guides">the first page</a>.</p>
    ${sections.map(
      ({ heading, parts }) => html`<section><h2>${heading}</h2>${parts.map(shownPart)}</section>`,
    )}
    <p><a href="/docs/guides">All guides</a></p>`;
}

function shownPart(part: Part) {
  if ("say" in part) return html`<p>${marked(part.say)}</p>`;
  if ("file" in part) {
    return html`<figure><figcaption>${part.file}, JavaScript for Node 20</figcaption>
      <pre class="program" title="${part.file}">${part.holds}</pre></figure>`;
  }
  const printed =
    part.prints !== undefined &&
    html`<figcaption>prints</figcaption><pre class="printed">${part.prints}</pre>`;
  return html`<figure><figcaption>Shell</figcaption><pre class="commands">${part.run}</pre>${printed || ""}</figure>`;
}

/** Text in which every second piece, between backticks, is code. */
function marked(text: string) {
  return text
    .split("`")
    .map((piece, index) => (index % 2 === 1 ? html`<code>${piece}</code>` : html`${piece}`));
}

export const guideRoutes = [all, one];
