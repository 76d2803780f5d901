import type { Failure, FieldFault } from "../domain/failure/failure.ts";
import { faultsTold } from "./faults-told.ts";
import { rateHeaders } from "./rate-headers.ts";
import type { WireFailure } from "./wire-failure.ts";

export type AnyFailure = Failure | WireFailure;
export type ProblemKind = AnyFailure["kind"];
type FailureOf<K extends ProblemKind> = Extract<AnyFailure, { kind: K }>;

/** One entry of the catalogue: all that a caller ever reads about one kind of failure. */
export interface ProblemEntry<K extends ProblemKind> {
  /** Last step of the problem's `type`, and the address of its page. */
  readonly slug: string;
  readonly status: number;
  readonly title: string;
  readonly cause: string;
  readonly cure: string;
  detail(failure: FailureOf<K>): string;
  /** Members beside the standard five. */
  members?(failure: FailureOf<K>): Record<string, unknown>;
  headers?(failure: FailureOf<K>): Record<string, string>;
  /** The failure shown as an example in the API's description and on the problem's page. */
  readonly example: FailureOf<K>;
}

/**
 * Every problem this API answers with, and the only place that says how: the compiler demands an
 * entry for each kind of failure.
 */
export const PROBLEMS: { readonly [K in ProblemKind]: ProblemEntry<K> } = {
  invalid: {
    slug: "invalid",
    status: 422,
    title: "The request has fields that cannot be taken",
    cause:
      "One or more fields of the body, or parameters of the address, are missing, unknown here, or hold something that they may not.",
    cure: "Each entry of errors names one: pointer is a JSON Pointer into the body, parameter a parameter of the address, column a column of a table; detail says what would be right. Correct all of them and send the request again.",
    detail: ({ errors }) => faultsTold(errors),
    members: ({ errors }) => ({ errors }),
    example: {
      kind: "invalid",
      errors: [{ pointer: "#/value", detail: "must be at least 0" }],
    },
  },
  notFound: {
    slug: "not-found",
    status: 404,
    title: "Nothing of that name is here",
    cause: "No such thing exists, or it is one that the key may not see: both are answered alike.",
    cure: "Look at the id in the address, and at the account, member and vehicles that the key is for.",
    detail: ({ resource }) => `No such ${resource} is here, or none that may be seen.`,
    members: ({ errors }) => (errors ? { errors } : {}),
    example: { kind: "notFound", resource: "vehicle" },
  },
  unknownPath: {
    slug: "unknown-path",
    status: 404,
    title: "The API has no such path",
    cause:
      "The path is not one of this API's. Paths carry the version (/v1), are case-sensitive and end without a slash.",
    cure: "Compare it with the description at /openapi.json or /docs.",
    detail: () => "This path is not part of the API; /docs lists those that are.",
    example: { kind: "unknownPath" },
  },
  malformed: {
    slug: "malformed",
    status: 400,
    title: "The request cannot be read",
    cause:
      "The body is not JSON in UTF-8, the address is not correctly percent-encoded, or the request is not sound HTTP/1.1.",
    cure: "Detail says what could not be read. Most often a JSON body ends too early, has a comma too many, or was sent twice encoded.",
    detail: ({ detail }) => detail,
    example: { kind: "malformed", detail: "The body is not JSON: it ends before its value does." },
  },
  badHeader: {
    slug: "bad-header",
    status: 400,
    title: "A header cannot be taken",
    cause: "A header of the request holds something that it may not.",
    cure: "Each entry of errors names a header and says what would be right.",
    detail: ({ errors }) => faultsTold(errors),
    members: ({ errors }) => ({ errors }),
    example: {
      kind: "badHeader",
      errors: [{ header: "Idempotency-Key", detail: "must be 1 to 255 visible ASCII characters" }],
    },
  },
  unauthenticated: {
    slug: "unauthenticated",
    status: 401,
    title: "A valid key is needed",
    cause: "The request carries no API key, or one that is mistyped, unknown, expired or revoked.",
    cure: "Send `Authorization: Bearer` with a key of the account; to make an account, and for nothing else, with the operator's token. A key that is lost cannot be shown again; make a new one.",
    detail: ({ detail }) => detail,
    headers: ({ token }) => ({
      "www-authenticate": `Bearer realm="forewheel"${token ? ', error="invalid_token"' : ""}`,
    }),
    example: {
      kind: "unauthenticated",
      detail: "The key has expired.",
      token: true,
    },
  },
  forbidden: {
    slug: "forbidden",
    status: 403,
    title: "The key may not do this",
    cause: "The key is valid, but its scopes or its member's role do not reach to this operation.",
    cure: "Use a key that has what detail names, or ask whoever administers the account for one.",
    detail: ({ need }) => `This needs ${need}.`,
    example: { kind: "forbidden", need: "the scope readings:write" },
  },
  methodNotAllowed: {
    slug: "method-not-allowed",
    status: 405,
    title: "The path does not take this method",
    cause: "The path exists, but not with this method.",
    cure: "The Allow header lists the methods that it takes.",
    detail: ({ allow }) => `This path takes ${allow.join(", ")}.`,
    headers: ({ allow }) => ({ allow: allow.join(", ") }),
    example: { kind: "methodNotAllowed", allow: ["GET", "HEAD", "OPTIONS", "POST"] },
  },
  notAcceptable: {
    slug: "not-acceptable",
    status: 406,
    title: "No form that was asked for is offered",
    cause: "The Accept header admits none of the media types in which this can be answered.",
    cure: "Ask for one that detail lists, or leave the header out.",
    detail: ({ offered }) => `This is offered as ${offered.join(", ")}.`,
    example: { kind: "notAcceptable", offered: ["application/json", "text/csv"] },
  },
  requestTimeout: {
    slug: "request-timeout",
    status: 408,
    title: "The request took too long to arrive",
    cause:
      "The headers or the body did not arrive completely in the time that is allowed for them.",
    cure: "Send it again, over a better connection or in smaller parts.",
    detail: () => "The request did not arrive completely in time.",
    headers: () => ({ connection: "close" }),
    example: { kind: "requestTimeout" },
  },
  conflict: {
    slug: "conflict",
    status: 409,
    title: "What is stored stands against this",
    cause:
      "The request is sound in itself, but contradicts what is there: an externalId that was used for something else, for example.",
    cure: "Read what is stored, decide which of the two is right, and send a request that fits.",
    detail: ({ detail }) => detail,
    example: {
      kind: "conflict",
      detail:
        'The externalId "tour-17" is taken by one with another value. Send the same content again, or another externalId.',
    },
  },
  idempotencyRunning: {
    slug: "idempotency-running",
    status: 409,
    title: "The first request with this key is still running",
    cause:
      "Another request with the same Idempotency-Key has not been answered yet, and did not finish while this one waited for it.",
    cure: "Send the request again, unchanged, after the time in Retry-After.",
    detail: () => "The first request with this Idempotency-Key is still running.",
    headers: () => ({ "retry-after": "1" }),
    example: { kind: "idempotencyRunning" },
  },
  preconditionFailed: {
    slug: "precondition-failed",
    status: 412,
    title: "It has changed since it was read",
    cause:
      "No tag in If-Match is the current one: someone else was faster, or the tag is not one that this API gave.",
    cure: "Read the resource again, look at what has changed, and send the change with the ETag that was answered, quotes included.",
    detail: ({ resource }) =>
      `If-Match does not name the current version of this ${resource}: it must be its ETag, quotes included.`,
    example: { kind: "preconditionFailed", resource: "vehicle" },
  },
  bodyTooLarge: {
    slug: "body-too-large",
    status: 413,
    title: "The body is too large",
    cause: "The body has more bytes than this operation takes.",
    cure: "Split it into several requests.",
    detail: ({ limit }) => `The body may have at most ${limit} bytes.`,
    members: ({ limit }) => ({ limit }),
    example: { kind: "bodyTooLarge", limit: 1_048_576 },
  },
  uriTooLong: {
    slug: "uri-too-long",
    status: 414,
    title: "A part of the path is too long",
    cause: "A part of the path has more characters than any id or name here has.",
    cure: "Look at what was put in the place of the id.",
    detail: () => "A part of the path is longer than any id here.",
    example: { kind: "uriTooLong" },
  },
  unsupportedMediaType: {
    slug: "unsupported-media-type",
    status: 415,
    title: "The body's media type is not taken here",
    cause:
      "The Content-Type header is missing or names a form in which this operation takes no body.",
    cure: "Send one of the media types that detail lists, and say so in Content-Type.",
    detail: ({ accepted }) =>
      accepted.length === 0
        ? "This operation takes no body."
        : `This operation takes ${accepted.join(" or ")}.`,
    headers: ({ accepted }): Record<string, string> =>
      accepted.includes("application/merge-patch+json")
        ? { "accept-patch": accepted.join(", ") }
        : {},
    example: { kind: "unsupportedMediaType", accepted: ["application/json"] },
  },
  unsupportedCoding: {
    slug: "unsupported-coding",
    status: 415,
    title: "Compressed bodies are not taken",
    cause: "The Content-Encoding header says that the body is compressed.",
    cure: "Send it as it is, without Content-Encoding.",
    detail: () => "The body must be sent uncompressed, without Content-Encoding.",
    headers: () => ({ "accept-encoding": "identity" }),
    example: { kind: "unsupportedCoding" },
  },
  expectationFailed: {
    slug: "expectation-failed",
    status: 417,
    title: "The expectation cannot be met",
    cause: "The Expect header asks for something other than 100-continue.",
    cure: "Leave the header out.",
    detail: () => "Expect can only be 100-continue here.",
    example: { kind: "expectationFailed" },
  },
  idempotencyMismatch: {
    slug: "idempotency-mismatch",
    status: 422,
    title: "The Idempotency-Key was used for another request",
    cause:
      "Within the last 24 hours the same Idempotency-Key came with another body or address, or with an API key that is bound to another member or other vehicles.",
    cure: "Make a new key for each new thing, and repeat a request only unchanged.",
    detail: () => "This Idempotency-Key came before with another request.",
    example: { kind: "idempotencyMismatch" },
  },
  preconditionRequired: {
    slug: "precondition-required",
    status: 428,
    title: "If-Match is needed",
    cause:
      "A change or a deletion must say which version it is meant for, so that nobody's work is overwritten unseen.",
    cure: "Read the resource and send its ETag back in If-Match.",
    detail: () => "Send If-Match with the ETag of the version that this change is meant for.",
    example: { kind: "preconditionRequired" },
  },
  tooManyRequests: {
    slug: "too-many-requests",
    status: 429,
    title: "Too many requests",
    cause:
      "More requests came with this key, or from this address, than the policy in RateLimit-Policy allows.",
    cure: "Wait as long as Retry-After says. RateLimit tells with every answer how many are left.",
    detail: ({ retryAfter }) => `Wait ${count(retryAfter, "second")} before the next request.`,
    members: ({ policy }) => ({ "violated-policies": [policy] }),
    headers: ({ retryAfter, policy, quota }) => ({
      "retry-after": String(retryAfter),
      ...rateHeaders(policy, quota, 0, retryAfter),
    }),
    example: {
      ...{ kind: "tooManyRequests", retryAfter: 1, policy: "key" },
      quota: { requests: 100, seconds: 1 },
    },
  },
  headersTooLarge: {
    slug: "headers-too-large",
    status: 431,
    title: "The headers are too large",
    cause: "Address and headers together have more bytes than are taken.",
    cure: "Shorten the query or leave out headers that are not needed.",
    detail: () => "The address and the headers together may have at most 16 KiB.",
    headers: () => ({ connection: "close" }),
    example: { kind: "headersTooLarge" },
  },
  internal: {
    slug: "internal",
    status: 500,
    title: "Something went wrong here",
    cause: "A fault in the service, not in the request.",
    cure: "Try again later; if it stays, tell whoever runs the service the value of instance, which is in its log.",
    detail: () => "The request could not be completed. The fault is logged under this instance.",
    example: { kind: "internal" },
  },
  unavailable: {
    slug: "unavailable",
    status: 503,
    title: "The service cannot answer just now",
    cause:
      "Something that the service needs, such as its database, is away or overloaded, others kept changing the same thing, or the service is stopping.",
    cure: "Send the request again after the time in Retry-After.",
    detail: () => "Something that the service needs is away for the moment.",
    headers: ({ retryAfter }) => ({ "retry-after": String(retryAfter) }),
    example: { kind: "unavailable", retryAfter: 5 },
  },
};

/** RFC 9457, section 3, with the members that some kinds add. */
export interface Problem {
  readonly type: string;
  readonly title: string;
  readonly status: number;
  readonly detail: string;
  readonly instance: string;
  readonly errors?: readonly FieldFault[];
}

/** A failure as it goes out: status, headers and the body of `application/problem+json`. */
export interface ProblemAnswer {
  readonly status: number;
  readonly headers: Record<string, string>;
  readonly body: Problem;
}

export const PROBLEM_MEDIA_TYPE = "application/problem+json";

/** @param baseUrl origin of the API, without a slash; @param requestId becomes the instance. */
export function toProblem(failure: AnyFailure, baseUrl: string, requestId: string): ProblemAnswer {
  const entry = entryOf(failure);
  return {
    status: entry.status,
    headers: entry.headers?.(failure) ?? {},
    body: {
      type: problemType(entry.slug, baseUrl),
      title: entry.title,
      status: entry.status,
      detail: entry.detail(failure),
      instance: requestId,
      ...entry.members?.(failure),
    },
  };
}

function problemType(slug: string, baseUrl: string): string {
  return `${baseUrl}/problems/${slug}`;
}

/** The compiler cannot see that an entry and its failure share their kind; the table's type does. */
function entryOf(failure: AnyFailure): ProblemEntry<ProblemKind> {
  return PROBLEMS[failure.kind] as unknown as ProblemEntry<ProblemKind>;
}

function count(n: number, noun: string): string {
  return n === 1 ? `1 ${noun}` : `${n} ${noun}s`;
}
