import { AccountGone } from "../application/account-gone.ts";
import { Refusal } from "../domain/failure/failure.ts";
import type { AnyFailure } from "./problems.ts";
import { WireRefusal } from "./wire-failure.ts";

/** What an error that reached the outermost handler is told as: whatever is not known is our fault. */
export function failureOfError(
  error: unknown,
  bodyLimit: number,
  accepted: readonly string[],
): AnyFailure {
  if (error instanceof Refusal || error instanceof WireRefusal) return error.failure;
  if (error instanceof AccountGone) {
    return { kind: "unauthenticated", detail: "The account of this key was deleted.", token: true };
  }
  const { code, statusCode } = (error ?? {}) as { code?: unknown; statusCode?: unknown };
  switch (code) {
    case "FST_ERR_CTP_BODY_TOO_LARGE":
      return { kind: "bodyTooLarge", limit: bodyLimit };
    case "FST_ERR_CTP_INVALID_MEDIA_TYPE":
      return { kind: "unsupportedMediaType", accepted };
    case "FST_ERR_CTP_INVALID_CONTENT_LENGTH":
      return { kind: "malformed", detail: "The body is not as long as Content-Length says." };
    case "FST_ERR_BAD_URL":
      return { kind: "malformed", detail: "The path is not correctly percent-encoded UTF-8." };
    case "FST_ERR_MAX_PARAM_LENGTH":
      return { kind: "uriTooLong" };
    default:
      return isClientError(statusCode)
        ? { kind: "malformed", detail: "The request cannot be read." }
        : { kind: "internal" };
  }
}

function isClientError(statusCode: unknown): boolean {
  return typeof statusCode === "number" && statusCode >= 400 && statusCode < 500;
}
