import type { FastifyBaseLogger } from "fastify";
import type { z } from "zod";
import type { Replay } from "../application/ports.ts";
import type { ExpectedVersion } from "../domain/failure/expected-version.ts";
import type { Caller, Scope } from "./caller.ts";
import type { IdempotencyHandle } from "./plugins/idempotency.ts";
import type { AnyFailure, Problem, ProblemKind } from "./problems.ts";

export type Method = "GET" | "POST" | "PUT" | "PATCH" | "DELETE";

/** Who may call: a key with the scope, any key, the operator's token, or anybody. */
export type Access =
  | { readonly scope: Scope | "any" }
  | { readonly operator: true }
  | { readonly open: true };

/** One way in which an operation answers. */
export interface AnswerContract {
  readonly description: string;
  /** JSON body; absent when there is none or when `media` says it. */
  readonly schema?: z.ZodType;
  readonly example?: unknown;
  /** Bodies in other media types than JSON, or several to choose from. */
  readonly media?: Readonly<
    Record<string, { readonly schema: z.ZodType; readonly example: unknown }>
  >;
  /** Headers beside those that every answer has, each with its description. */
  readonly headers?: Readonly<Record<string, string>>;
}

/** What a handler answers; its status is one that the contract declares. */
export interface Answer {
  readonly status: number;
  /** A JSON value, or with `type` the very text or bytes; absent for none. */
  readonly body?: unknown;
  /** In place of `body`, its JSON text in parts; only of a route that is answered beside the event loop. */
  readonly parts?: AsyncIterable<string>;
  /** In place of `body`, text or bytes of the media type that come as they are made. */
  readonly stream?: AsyncIterable<string | Uint8Array>;
  /** Media type of a body that is not JSON. */
  readonly type?: string;
  /** The stored row's version, of which the ETag is made. */
  readonly version?: number;
  /** The strong entity tag of the body's very bytes, where it is no stored row's. */
  readonly tag?: string;
  /** Path of what was created. */
  readonly location?: string;
  /** A `Link` header, as `linkTo` writes it. */
  readonly link?: string;
  readonly headers?: Readonly<Record<string, string>>;
}

/** A body that is read as it comes. */
export interface Incoming {
  /** One of those that the route takes. */
  readonly mediaType: string;
  /** @throws WireRefusal bodyTooLarge, requestTimeout, malformed */
  readonly bytes: AsyncIterable<Buffer>;
}

/** One request, checked against its contract. */
export interface Call<D, C, P, Q, B> {
  readonly operationId: string;
  /** Path and query as they were asked for. */
  readonly url: string;
  readonly params: P;
  readonly query: Q;
  readonly body: B;
  /** The body of a route that `takes` media types; null for every other. */
  readonly incoming: Incoming | null;
  readonly caller: C;
  readonly requestId: string;
  /** The address the request came from, behind the proxies that are trusted. */
  readonly address: string;
  readonly log: FastifyBaseLogger;
  readonly deps: D;
  /** The versions a change is meant for; `any` on routes that are not versioned. */
  readonly ifMatch: ExpectedVersion;
  /** The caller's Idempotency-Key, for a verb that stores its answer in its own transaction. */
  readonly idempotency: IdempotencyHandle | null;
  /** Signs the cursors of lists. */
  readonly cursorSecret: string;
  now(): number;
  /** A failure as it would go out, for an answer that tells of several things at once. */
  problemOf(failure: AnyFailure): Problem;
  /** The offered media type that the caller likes best; refuses with 406 when it likes none. */
  accepts<T extends string>(offered: readonly [T, ...T[]]): T;
}

type ParsedOf<S extends z.ZodType | undefined> = S extends z.ZodType ? z.output<S> : undefined;
type CallerOf<A extends Access> = A extends { readonly scope: Scope | "any" } ? Caller : null;

/** The contract of one operation, from which both its route and its description are made. */
export interface RouteContract<
  D,
  A extends Access,
  P extends z.ZodObject | undefined,
  Q extends z.ZodObject | undefined,
  B extends z.ZodType | undefined,
> extends RouteFacts {
  readonly access: A;
  readonly params?: P;
  readonly query?: Q;
  readonly body?: B;
  handle(
    call: Call<D, CallerOf<A>, ParsedOf<P>, ParsedOf<Q>, ParsedOf<B>>,
  ): Promise<Answer | Replay>;
}

interface RouteFacts {
  readonly operationId: string;
  readonly method: Method;
  /** With parameters in braces: `/v1/vehicles/{vehicleId}`. */
  readonly path: string;
  readonly tag: string;
  readonly summary: string;
  readonly description: string;
  /** Takes an Idempotency-Key: the answer is kept in the transaction of the work, so that neither is there without the other. */
  readonly creates?: "folded";
  /**
   * Shows or changes a stored row with an ETag; `moving` when what is shown also moves with the clock,
   * so that it never answers 304; `bytes` where the ETag is that of the body's bytes.
   */
  readonly versioned?: true | "moving" | "bytes";
  /** Pointers (RFC 6901, `/apiKey/key`) into the answer to what is shown once and left out of a replay. */
  readonly secretFields?: readonly string[];
  /** The media types of a body that is no JSON and is read as it comes, in place of `body`. */
  readonly takes?: Readonly<
    Record<string, { readonly schema: z.ZodType; readonly example: unknown }>
  >;
  /** Bytes that a body may have, where 1 MiB is not it. */
  readonly bodyLimit?: number;
  /** Answered in a thread of its own, for what would hold up the event loop: see `routeBeside`. */
  readonly beside?: LongList;
  /** Not counted against any rate limit: for what a monitor asks. */
  readonly unlimited?: true;
  readonly answers: Readonly<Record<number, AnswerContract>>;
  /** Problems beside those that follow from the contract itself. */
  readonly problems?: readonly ProblemKind[];
  readonly examples?: { readonly body?: unknown };
}

/** The member of a body that makes it long: it is read item by item. */
interface LongList {
  readonly list: string;
  readonly item: z.ZodType;
  /** Items that the body's own schema lets through. */
  readonly most: number;
}

/** What the handler of a route beside the event loop gets of its call. */
type CallBeside<B> = Pick<AnyCall<unknown>, "now"> & { readonly body: B };

interface ContractBeside<B extends z.ZodType> extends RouteFacts {
  readonly access: Access;
  readonly body: B;
  readonly beside: LongList;
  handle(call: CallBeside<z.output<B>>): Promise<Answer>;
}

/** A route whose own types have been checked where it was defined. */
export interface Route<D> extends RouteFacts {
  readonly access: Access;
  readonly params?: z.ZodObject;
  readonly query?: z.ZodObject;
  readonly body?: z.ZodType;
  readonly handle: (call: AnyCall<D>) => Promise<Answer | Replay>;
}

export type AnyCall<D> = Call<D, Caller | null, unknown, unknown, unknown>;

/**
 * Makes the `defineRoute` of a file of routes; `D` is what its handlers need of the services.
 *
 *     const defineRoute = routeMaker<Pick<Services, "recordReading">>();
 */
export function routeMaker<D>() {
  return function defineRoute<
    A extends Access,
    P extends z.ZodObject | undefined = undefined,
    Q extends z.ZodObject | undefined = undefined,
    B extends z.ZodType | undefined = undefined,
  >(contract: RouteContract<D, A, P, Q, B>): Route<D> {
    // Serving parses with the contract's own schemas before it calls, which the compiler cannot see.
    return contract as unknown as Route<D>;
  };
}

/**
 * Defines a route whose requests are read, worked on and answered in a thread, which has no services:
 * all that its handler knows is the body and the time. `beside/answer-to.ts` lists these routes.
 */
export function routeBeside<B extends z.ZodType>(contract: ContractBeside<B>): Route<unknown> {
  return contract as unknown as Route<unknown>;
}

/** Whether the operation answers 304 to who has what it would answer. */
export function knowsUnchanged({ versioned, method }: Route<never>): boolean {
  return method === "GET" && (versioned === true || versioned === "bytes");
}

/** Whether the operation needs `If-Match`. */
export function needsIfMatch(route: Route<never>): boolean {
  return route.versioned !== undefined && ["PATCH", "PUT", "DELETE"].includes(route.method);
}

export function mediaTypesTaken(route: Route<never>): readonly string[] {
  if (route.takes !== undefined) return Object.keys(route.takes);
  if (route.body === undefined) return [];
  return route.method === "PATCH"
    ? ["application/merge-patch+json", "application/json"]
    : ["application/json"];
}
