import type { Answer, Route } from "./route.ts";

/**
 * Holds an answer against its contract.
 * @throws Error that names the breach
 */
export function checkAnswer(route: Route<never>, answer: Answer): void {
  const contract = route.answers[answer.status];
  if (contract === undefined) throw breach(route, `declares no answer ${answer.status}`);
  const tagged = route.versioned === "bytes" ? answer.tag : answer.version;
  const tags = route.versioned !== undefined && route.method !== "DELETE";
  if (tags && answer.status < 204 && tagged === undefined) {
    throw breach(route, "answers without what its ETag is made of");
  }
  if (answer.type !== undefined) {
    const essence = answer.type.split(";", 1)[0] ?? "";
    if (contract.media?.[essence] === undefined) throw breach(route, `declares no ${essence}`);
    return;
  }
  if (contract.schema === undefined) {
    if (answer.body !== undefined) throw breach(route, "answers a body where it declares none");
    return;
  }
  const onTheWire: unknown = JSON.parse(JSON.stringify(answer.body ?? null));
  const result = contract.schema.safeParse(onTheWire);
  if (!result.success) throw breach(route, `answers against its schema: ${result.error.message}`);
}

function breach(route: Route<never>, what: string): Error {
  return new Error(`${route.operationId} ${what}`);
}
