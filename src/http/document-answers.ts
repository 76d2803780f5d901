import type { ZodOpenApiResponseObject, ZodOpenApiResponsesObject } from "zod-openapi";
import {
  type DocumentedHeader,
  headerReferences,
  LIMIT_ON_REFUSAL,
  WAIT_FOR_THE_FIRST,
} from "./document-components.ts";
import { PROBLEM_MEDIA_TYPE, PROBLEMS, type ProblemKind, toProblem } from "./problems.ts";
import { type AnswerContract, knowsUnchanged, needsIfMatch, type Route } from "./route.ts";
import { problem } from "./schemas/problem.ts";

type Status = `${1 | 2 | 3 | 4 | 5}${string}`;

/** What an operation answers when all is well. */
export function answersOf(route: Route<never>): ZodOpenApiResponsesObject {
  const answers: ZodOpenApiResponsesObject = {};
  for (const [status, contract] of Object.entries(route.answers)) {
    answers[status as Status] = answerOf(route, Number(status), contract);
  }
  if (knowsUnchanged(route)) {
    answers["304"] = {
      description: "It is still what the caller has.",
      headers: headerReferences(headersAnswered(route, 304)),
    };
  }
  return answers;
}

function answerOf(
  route: Route<never>,
  status: number,
  contract: AnswerContract,
): ZodOpenApiResponseObject {
  const own = Object.entries(contract.headers ?? {}).map(([name, description]) => [
    name,
    { description, schema: { type: "string" as const } },
  ]);
  const content = {
    ...(contract.schema && { "application/json": mediaOf(contract.schema, contract.example) }),
    ...contract.media,
  };
  return {
    description: contract.description,
    headers: { ...headerReferences(headersAnswered(route, status)), ...Object.fromEntries(own) },
    ...(Object.keys(content).length > 0 ? { content } : {}),
  };
}

function mediaOf(schema: NonNullable<AnswerContract["schema"]>, example: unknown) {
  return { schema, ...(example === undefined ? {} : { example }) };
}

function headersAnswered(route: Route<never>, status: number): DocumentedHeader[] {
  const names: DocumentedHeader[] = ["X-Request-Id"];
  if (!route.unlimited) names.push("RateLimit", "RateLimit-Policy");
  if (route.versioned !== undefined && route.method !== "DELETE") names.push("ETag");
  // What was there before is found at the same place as what was created.
  if (status === 201 || (status === 200 && 201 in route.answers)) names.push("Location");
  if (route.query !== undefined && "cursor" in route.query.shape) names.push("Link");
  return names;
}

/** Every problem that an operation may answer with: those its contract names, and those it implies. */
export function problemsOf(route: Route<never>): readonly ProblemKind[] {
  // Parameters that are unknown, and coded bodies, are refused by every operation.
  const implied: ProblemKind[] = [
    ...(["malformed", "internal", "unavailable", "invalid", "unsupportedCoding"] as const),
  ];
  if (!route.unlimited) implied.push("tooManyRequests");
  if (!("open" in route.access)) implied.push("unauthenticated");
  if ("scope" in route.access) implied.push("forbidden");
  if (route.params !== undefined) implied.push("notFound", "uriTooLong");
  if (route.method !== "GET") implied.push("unsupportedMediaType", "bodyTooLarge");
  if (route.creates) implied.push("badHeader", "idempotencyMismatch", "idempotencyRunning");
  if (needsIfMatch(route)) implied.push("preconditionRequired");
  if (route.versioned !== undefined && route.method !== "POST") implied.push("preconditionFailed");
  return [...new Set([...implied, ...(route.problems ?? [])])];
}

/**
 * One answer a status, with an example of each kind of problem that has it. Operations that refuse
 * alike share the answer: it stands once among the document's components.
 */
export function problemAnswers(
  baseUrl: string,
): (route: Route<never>) => ZodOpenApiResponsesObject {
  const shared = new Map<string, ZodOpenApiResponseObject>();
  const answerOf = (route: Route<never>, status: number, kinds: readonly ProblemKind[]) => {
    const id = nameOf(route, kinds);
    const answer = shared.get(id) ?? { id, ...problemAnswer(route, status, kinds, baseUrl) };
    shared.set(id, answer);
    return answer;
  };
  return (route) => {
    const byStatus = new Map<number, ProblemKind[]>();
    for (const kind of problemsOf(route)) {
      const { status } = PROBLEMS[kind];
      byStatus.set(status, [...(byStatus.get(status) ?? []), kind]);
    }
    const entries = [...byStatus].map(([status, kinds]) => [
      String(status),
      answerOf(route, status, kinds),
    ]);
    return Object.fromEntries(entries) as ZodOpenApiResponsesObject;
  };
}

/** `InvalidOrIdempotencyMismatch`; what depends on the operation itself is told by a word in front. */
function nameOf(route: Route<never>, kinds: readonly ProblemKind[]): string {
  const words = kinds.map((kind) => kind.charAt(0).toUpperCase() + kind.slice(1));
  return `${route.unlimited ? "Uncounted" : ""}${words.join("Or")}`;
}

function problemAnswer(
  route: Route<never>,
  status: number,
  kinds: readonly ProblemKind[],
  baseUrl: string,
): ZodOpenApiResponseObject {
  const examples = kinds.map((kind) => [
    kind,
    {
      summary: PROBLEMS[kind].title,
      value: toProblem(PROBLEMS[kind].example, baseUrl, EXAMPLE_ID).body,
    },
  ]);
  return {
    description: `${kinds.map((kind) => PROBLEMS[kind].title).join("; or ")}.`,
    headers: {
      ...headerReferences(["X-Request-Id", ...(HEADERS_BY_STATUS[status] ?? [])]),
      ...(kinds.includes("idempotencyRunning") ? WAIT_FOR_THE_FIRST : {}),
      ...(route.unlimited ? {} : LIMIT_ON_REFUSAL),
    },
    content: { [PROBLEM_MEDIA_TYPE]: { schema: problem, examples: Object.fromEntries(examples) } },
  };
}

const EXAMPLE_ID = "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10";
const HEADERS_BY_STATUS: Readonly<Record<number, readonly DocumentedHeader[]>> = {
  401: ["WWW-Authenticate"],
  415: ["Accept-Encoding", "Accept-Patch"],
  429: ["Retry-After"],
  503: ["Retry-After"],
};
