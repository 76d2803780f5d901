import type { ZodOpenApiComponentsObject } from "zod-openapi";

function header(description: string, example: string, required = true) {
  return { description, required, schema: { type: "string" as const }, example };
}

const POLICY = ["How many requests (q) in how many seconds (w).", '"key";q=100;w=1'] as const;
const LEFT = [
  "How many requests are left (r), and for how many seconds (t).",
  '"key";r=99;t=1',
] as const;

/** Response headers, each described once and referred to. */
export const DOCUMENT_HEADERS = {
  "X-Request-Id": header(
    "Names this request in the log, and as the instance of a problem: the caller's own, if sane.",
    "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10",
  ),
  ETag: header("The version of what is shown, as a strong entity tag.", '"7"'),
  Location: header(
    "Where what was created is found.",
    "/v1/vehicles/01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10",
  ),
  Link: header(
    'The next page of a list (RFC 8288), with rel="next"; absent from the last page.',
    '</v1/vehicles?cursor=Zm9y>; rel="next"',
    false,
  ),
  "RateLimit-Policy": header(...POLICY),
  RateLimit: header(...LEFT),
  "RateLimit-Policy-Refused": header(
    `${POLICY[0]} Absent where the request was refused before it was counted.`,
    POLICY[1],
    false,
  ),
  "RateLimit-Refused": header(
    `${LEFT[0]} Absent where the request was refused before it was counted.`,
    LEFT[1],
    false,
  ),
  "Retry-After": header("Seconds to wait.", "1"),
  "Retry-After-Running": header(
    "Seconds to wait, where the first request with the Idempotency-Key is still running.",
    "1",
    false,
  ),
  "Accept-Encoding": header("The content codings that are taken.", "identity", false),
  "Accept-Patch": header(
    "The media types that a PATCH here may have (RFC 5789).",
    "application/merge-patch+json, application/json",
    false,
  ),
  "WWW-Authenticate": header("How to authenticate (RFC 6750).", 'Bearer realm="forewheel"'),
} satisfies ZodOpenApiComponentsObject["headers"];

export type DocumentedHeader = keyof typeof DOCUMENT_HEADERS;

/** The rate limit's headers on what is refused. */
export const LIMIT_ON_REFUSAL = {
  RateLimit: { $ref: "#/components/headers/RateLimit-Refused" as const },
  "RateLimit-Policy": { $ref: "#/components/headers/RateLimit-Policy-Refused" as const },
};

/** 409 asks to wait for one of its problems alone. */
export const WAIT_FOR_THE_FIRST = {
  "Retry-After": { $ref: "#/components/headers/Retry-After-Running" as const },
};

export function headerReferences(names: readonly DocumentedHeader[]) {
  return Object.fromEntries(
    names.map((name) => [name, { $ref: `#/components/headers/${name}` as const }]),
  );
}

export const SECURITY_SCHEMES: NonNullable<ZodOpenApiComponentsObject["securitySchemes"]> = {
  apiKey: {
    type: "http",
    scheme: "bearer",
    description:
      "An API key of the account. What it may do is in its scopes: read, readings:write, write (which includes readings:write) and admin.",
  },
  operatorToken: {
    type: "http",
    scheme: "bearer",
    description: "The token of whoever runs the service, set in its environment.",
  },
};
