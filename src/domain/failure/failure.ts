/** One fault of an input: where it stands and what would be right there. */
export type FieldFault =
  | { readonly pointer: string; readonly detail: string }
  | { readonly parameter: string; readonly detail: string }
  | { readonly header: string; readonly detail: string }
  | { readonly column: string; readonly detail: string };

/**
 * Everything for which a verb may refuse to do its work. The union is closed: whoever tells a
 * refusal to the outside handles each kind, and the compiler holds them to it.
 */
export type Failure =
  | { readonly kind: "invalid"; readonly errors: readonly FieldFault[] }
  | {
      readonly kind: "notFound";
      readonly resource: string;
      readonly errors?: readonly FieldFault[];
    }
  | { readonly kind: "forbidden"; readonly need: string }
  | { readonly kind: "conflict"; readonly detail: string }
  | { readonly kind: "preconditionFailed"; readonly resource: string }
  | { readonly kind: "idempotencyMismatch" }
  | { readonly kind: "idempotencyRunning" }
  | {
      readonly kind: "tooManyRequests";
      /** Whole seconds, at least 1. */
      readonly retryAfter: number;
      readonly policy: string;
      /** What the policy allows: so many requests in so many seconds. */
      readonly quota: { readonly requests: number; readonly seconds: number };
    }
  | { readonly kind: "unavailable"; readonly retryAfter: number };

/** Thrown by a verb to refuse; the failure says why, and nothing has been changed. */
export class Refusal extends Error {
  readonly failure: Failure;

  constructor(failure: Failure) {
    super(failure.kind);
    this.name = "Refusal";
    this.failure = failure;
  }
}

/** A refusal for one field of a body; the pointer as `pointer()` writes it. */
export function refuseField(pointer: string, detail: string): Refusal {
  return new Refusal({ kind: "invalid", errors: [{ pointer, detail }] });
}
