import {
  createDocument,
  type ZodOpenApiObject,
  type ZodOpenApiOperationObject,
  type ZodOpenApiPathsObject,
  type ZodOpenApiResponsesObject,
} from "zod-openapi";
import { answersOf, problemAnswers } from "./document-answers.ts";
import { DOCUMENT_HEADERS, SECURITY_SCHEMES } from "./document-components.ts";
import type { HttpOptions } from "./options.ts";
import { shownSchema } from "./patch-body.ts";
import { knowsUnchanged, mediaTypesTaken, needsIfMatch, type Route } from "./route.ts";

/** An OpenAPI 3.1 document. */
export type Description = ReturnType<typeof createDocument>;

/** Describes the routes; the same routes and options give the same document, byte for byte. */
export function describe(
  routes: readonly Route<never>[],
  options: Pick<HttpOptions, "baseUrl" | "description">,
): Description {
  const { version, tags, webhooks } = options.description;
  const used = new Set(routes.map((route) => route.tag));
  const document: ZodOpenApiObject = {
    openapi: "3.1.1",
    info: {
      title: "Forewheel",
      version,
      description: INTRODUCTION,
      license: { name: "MIT", identifier: "MIT" },
    },
    servers: [{ url: options.baseUrl, description: "This service" }],
    tags: [...tags, ...OWN_TAGS].filter(({ name }) => used.has(name)),
    paths: pathsOf(routes, options.baseUrl),
    ...(webhooks === undefined ? {} : { webhooks: webhooks as ZodOpenApiPathsObject }),
    components: {
      headers: DOCUMENT_HEADERS,
      securitySchemes: SECURITY_SCHEMES,
    },
  };
  return createDocument(document, { allowEmptySchema: { custom: true } });
}

const OWN_TAGS = [
  { name: "Guides", description: "Pages that lead through one kind of use each." },
  { name: "Operation", description: "For whoever runs the service." },
  { name: "Problems", description: "Pages that explain what this API refuses, and why." },
];

const INTRODUCTION = `Stores what meters showed and what was done, predicts when maintenance falls due, and writes ahead of it.

The guides at [/docs/guides](/docs/guides) lead through an app with users of its own, a rider's phone, a dashboard, posting offline, syncing by events, the sandbox and a fleet of 400 machines; whoever is new begins there. What is done about the risks of an API stands at [/docs/security](/docs/security), and what the alarms of whoever runs the service mean at [/docs/alarms](/docs/alarms).

- Every failure is an \`application/problem+json\` (RFC 9457); its \`type\` leads to a page that explains it. Faults are listed in \`errors\`: \`pointer\` is a JSON Pointer into the body, \`parameter\` names a parameter of the path or the query, \`header\` a header, \`column\` a column of a table.
- A stored thing has a strong \`ETag\`. \`PATCH\` and \`DELETE\` need it in \`If-Match\`.
- A \`POST\` that creates takes an \`Idempotency-Key\`: the same request again answers what it answered first, for 24 hours.
- Lists come in pages: \`nextCursor\`, or the \`Link\` with \`rel="next"\`, leads on. Where few of many fit the filters a page may be short, or empty, and lead on all the same.
- Unknown fields and parameters are refused by name.`;

function pathsOf(routes: readonly Route<never>[], baseUrl: string): ZodOpenApiPathsObject {
  const paths: ZodOpenApiPathsObject = {};
  const problemsIn = problemAnswers(baseUrl);
  for (const route of routes) {
    const method = route.method.toLowerCase() as "get" | "post" | "put" | "patch" | "delete";
    paths[route.path] = { ...paths[route.path], [method]: operationOf(route, problemsIn(route)) };
  }
  return paths;
}

function operationOf(
  route: Route<never>,
  problems: ZodOpenApiResponsesObject,
): ZodOpenApiOperationObject {
  const { params, query } = route;
  return {
    operationId: route.operationId,
    tags: [route.tag],
    summary: route.summary,
    description: route.description,
    security: securityOf(route),
    ...(params || query
      ? { requestParams: { ...(params && { path: params }), ...(query && { query }) } }
      : {}),
    ...(headersTaken(route).length > 0 ? { parameters: headersTaken(route) } : {}),
    ...bodyOf(route),
    responses: { ...answersOf(route), ...problems },
  };
}

function securityOf(route: Route<never>): Record<string, string[]>[] {
  const { access } = route;
  if ("open" in access) return [];
  if ("operator" in access) return [{ operatorToken: [] }];
  return [{ apiKey: access.scope === "any" ? [] : [access.scope] }];
}

function bodyOf(route: Route<never>): Pick<ZodOpenApiOperationObject, "requestBody"> {
  if (route.takes !== undefined) return { requestBody: { required: true, content: route.takes } };
  if (route.body === undefined) return {};
  const schema = shownSchema(route.body);
  const example = route.examples?.body;
  const media = { schema, ...(example === undefined ? {} : { example }) };
  const content = Object.fromEntries(mediaTypesTaken(route).map((type) => [type, media]));
  return { requestBody: { required: !route.body.safeParse({}).success, content } };
}

type HeaderParameter = NonNullable<ZodOpenApiOperationObject["parameters"]>[number];

function headersTaken(route: Route<never>): HeaderParameter[] {
  const taken: HeaderParameter[] = [];
  if (needsIfMatch(route)) {
    taken.push(
      headerParameter(
        "If-Match",
        true,
        '"7"',
        "The ETag of the version that the change is meant for; * for whichever there is.",
      ),
    );
  }
  if (knowsUnchanged(route)) {
    taken.push(
      headerParameter(
        "If-None-Match",
        false,
        '"7"',
        "The ETag of what the caller has; unchanged, it is answered with 304.",
      ),
    );
  }
  if (route.creates) {
    taken.push(
      headerParameter(
        "Idempotency-Key",
        false,
        '"8e03978e-40d5-43e8-bc93-6894a57f9324"',
        "1 to 255 visible ASCII characters, in double quotes or bare: makes a repeat of this request safe for 24 hours.",
      ),
    );
  }
  return taken;
}

function headerParameter(
  name: string,
  required: boolean,
  example: string,
  description: string,
): HeaderParameter {
  return { name, in: "header", required, description, schema: { type: "string" }, example };
}
