import type { FieldFault } from "../domain/failure/failure.ts";

/** What goes wrong between the wire and a verb; like `Failure`, a closed union. */
export type WireFailure =
  | { readonly kind: "malformed"; readonly detail: string }
  | { readonly kind: "badHeader"; readonly errors: readonly FieldFault[] }
  | { readonly kind: "unauthenticated"; readonly detail: string; readonly token: boolean }
  | { readonly kind: "unknownPath" }
  | { readonly kind: "methodNotAllowed"; readonly allow: readonly string[] }
  | { readonly kind: "notAcceptable"; readonly offered: readonly string[] }
  | { readonly kind: "requestTimeout" }
  | { readonly kind: "bodyTooLarge"; readonly limit: number }
  | { readonly kind: "uriTooLong" }
  | { readonly kind: "unsupportedMediaType"; readonly accepted: readonly string[] }
  | { readonly kind: "unsupportedCoding" }
  | { readonly kind: "expectationFailed" }
  | { readonly kind: "preconditionRequired" }
  | { readonly kind: "headersTooLarge" }
  | { readonly kind: "internal" };

export class WireRefusal extends Error {
  readonly failure: WireFailure;

  constructor(failure: WireFailure) {
    super(failure.kind);
    this.name = "WireRefusal";
    this.failure = failure;
  }
}

/** Refuses one header; status 400, since the headers are read before the body is. */
export function refuseHeader(header: string, detail: string): WireRefusal {
  return new WireRefusal({ kind: "badHeader", errors: [{ header, detail }] });
}
