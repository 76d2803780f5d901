import type { FieldFault } from "../../domain/failure/failure.ts";

/** One request as it is handed to the thread: all that its answer follows from. */
export interface Question {
  readonly operationId: string;
  /** The body as it came, undefined without one; its memory is moved to the thread. */
  readonly bytes: Uint8Array | undefined;
  /** Faults that were found outside of the body; told together with the body's. */
  readonly faults: readonly FieldFault[];
  /** Milliseconds since 1970-01-01T00:00:00Z. */
  readonly now: number;
  /** For problems: origin of the API, and the request's id. */
  readonly baseUrl: string;
  readonly requestId: string;
  /** Holds the answer against its contract, for tests. */
  readonly check: boolean;
}

export interface Head {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
}

/** A part of an answer, ready for the wire; the head comes with the first. */
export interface Piece {
  readonly head?: Head;
  readonly bytes: Uint8Array;
  readonly last: boolean;
}

/** What comes back for each time that the next piece is asked for; `failed` is a fault of ours. */
export type Reply = Piece | { readonly failed: unknown };
