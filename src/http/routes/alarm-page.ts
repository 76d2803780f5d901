import { html } from "hono/html";
import { ALARMS, type Alarm } from "../../content/alarms.ts";
import { asPage, docsPage, PAGE_ANSWERS } from "../docs-page.ts";
import { routeMaker } from "../route.ts";

const page = routeMaker<unknown>()({
  operationId: "getAlarmPage",
  method: "GET",
  path: "/docs/alarms",
  tag: "Operation",
  summary: "What each alarm means and what to do",
  description:
    "A page for the person who is woken at night: every alarm, when it rings, what it means and what to do.",
  access: { open: true },
  answers: PAGE_ANSWERS,
  handle: async () => asPage(docsPage("Alarms", "For whoever runs it", alarms())),
});

const WHO: Record<Alarm["urgency"], string> = {
  now: "Somebody must get up.",
  morning: "The morning will do.",
};

function alarms() {
  return html`<h1>Alarms</h1>
    <p>The worker tells its measurements on <code>/metrics</code> of <code>WORKER_PORT</code>, the API on
      its own. Whatever rings: PostgreSQL is the truth. As long as it stands, reminders wait; a worker
      that is started finds them, and nobody gets one twice for it.</p>
    <ul>${ALARMS.map(({ name }) => html`<li><a href="#${name}">${name}</a></li>`)}</ul>
    ${ALARMS.map(
      ({ name, when, lasting, urgency, means, todo }) => html`<section id="${name}">
      <h2>${name}</h2>
      <p>${WHO[urgency]} ${means}</p>
      <pre>${when}
for ${lasting}</pre>
      <ol>${todo.map((step) => html`<li>${step}</li>`)}</ol></section>`,
    )}`;
}

export const alarmRoutes = [page];
