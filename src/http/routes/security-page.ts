import { html } from "hono/html";
import { SECURITY } from "../../content/security.ts";
import { asPage, docsPage, PAGE_ANSWERS } from "../docs-page.ts";
import { routeMaker } from "../route.ts";

const page = routeMaker<unknown>()({
  operationId: "getSecurityPage",
  method: "GET",
  path: "/docs/security",
  tag: "Operation",
  summary: "What is done about each risk of an API",
  description:
    "A page that goes through the OWASP API Security Top 10 of 2023: the risk, what the service does about it, and what is left to you.",
  access: { open: true },
  answers: PAGE_ANSWERS,
  handle: async () => asPage(docsPage("Security", "For whoever relies on it", points())),
});

function points() {
  return html`<h1>Security, risk by risk</h1>
    <p>The risks are those of the OWASP API Security Top 10 of 2023. Each has a test that brings it about.</p>
    <ul>${SECURITY.map(({ id, title }) => html`<li><a href="#${anchor(id)}">${id} ${title}</a></li>`)}</ul>
    ${SECURITY.map(
      ({ id, title, risk, does, must, tests }) => html`<section id="${anchor(id)}">
      <h2>${id} ${title}</h2>
      <p>${risk}</p>
      <h3>What the service does</h3>
      <ul>${does.map((one) => html`<li>${one}</li>`)}</ul>
      <h3>What is left to you</h3>
      <ul>${must.map((one) => html`<li>${one}</li>`)}</ul>
      <h3>Shown by</h3>
      <ul>${tests.map((one) => html`<li><code>${one}</code></li>`)}</ul></section>`,
    )}`;
}

function anchor(id: string): string {
  return id.replace(":", "-");
}

export const securityRoutes = [page];
