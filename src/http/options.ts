import type { FastifyBaseLogger } from "fastify";
import type { Registry } from "prom-client";
import type { RateCount } from "../application/rate-counts.ts";
import type { KeyRecord } from "./caller.ts";
import type { RateOptions } from "./plugins/rate-options.ts";

/** A key as it came with a request, and what else is to be answered by the look at it. */
export interface AskedKey {
  readonly publicId: string;
  /** SHA-256 of the secret that came with it. */
  readonly secretHash: Uint8Array;
  readonly address: string;
  /** The web page's origin, where a browser asks. */
  readonly origin: string | null;
  /** What is counted and checked by the look itself; null where something else does. */
  readonly quotas: Pick<RateOptions, "key" | "refusedKeys"> | null;
}

/** What the look at a key found. */
export interface FoundKey {
  /** Whatever its state; null for one that is unknown or revoked. */
  readonly record: KeyRecord | null;
  /** Requests of the key with this one, where the look counts and the secret is right. */
  readonly counted: RateCount | null;
  /** Refusals of the address, where they are used up and the look checks them. */
  readonly refused: RateCount | null;
}

/** What the HTTP layer itself asks of the rest; everything that a verb needs is in its services. */
export interface HttpPorts {
  findKey(asked: AskedKey): Promise<FoundKey>;
  /** Told of each use of a key; must not throw, and is not waited for. */
  keyUsed?(key: { accountId: string; keyId: string }, at: number): void;
  /** Whether what the service stands on can be reached. */
  ready(): Promise<boolean>;
  /** Whether the error says that what the service stands on is away for the moment. */
  isAway?(error: unknown): boolean;
  /** Whether some account lets a browser on this origin call; without it none may. */
  allowsOrigin?(origin: string): Promise<boolean>;
}

export interface HttpOptions {
  /** Origin of the API, without a slash at its end: in problem types and in the description. */
  readonly baseUrl: string;
  readonly ports: HttpPorts;
  /** At least 32 characters; signs cursors. */
  readonly signingSecret: string;
  /** Null where no operator's call is taken. */
  readonly operatorToken: string | null;
  /** The wall clock, in milliseconds since 1970-01-01T00:00:00Z. */
  now(): number;
  readonly rates: RateOptions;
  readonly logger?: FastifyBaseLogger;
  /** Proxies whose `X-Forwarded-For` is believed; none by default. */
  readonly trustProxy?: string | readonly string[];
  /** Collects the metrics; a new one by default. */
  readonly registry?: Registry;
  /** Holds every answer against its contract, for tests: a breach becomes a 500. */
  readonly checkAnswers?: boolean;
  /** The program of the thread that answers beside the event loop, where it is not the one compiled with this. */
  readonly threadProgram?: URL;
  /** Merged into the OpenAPI document: webhooks, more about a tag. */
  readonly description: DescriptionOptions;
}

export interface DescriptionOptions {
  readonly version: string;
  readonly tags: readonly { readonly name: string; readonly description: string }[];
  readonly webhooks?: Readonly<Record<string, unknown>>;
}
