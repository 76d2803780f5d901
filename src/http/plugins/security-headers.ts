type Headers = Readonly<Record<string, string>>;

const COMMON: Headers = {
  "x-content-type-options": "nosniff",
  "referrer-policy": "no-referrer",
  "strict-transport-security": "max-age=31536000; includeSubDomains",
  "x-frame-options": "DENY",
  "cross-origin-opener-policy": "same-origin",
};

/**
 * Constant, and so worked out once: the usual plugin builds its policies anew with each request.
 * An answer of the API is never a document that runs anything.
 */
export const API_SECURITY: Headers = {
  ...COMMON,
  "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
  "cache-control": "private, no-cache",
};

/** Pages with no script; their one style sheet is named by its hash. */
export function pageSecurity(styleHash: string): Headers {
  return {
    ...COMMON,
    "content-security-policy": `default-src 'none'; style-src '${styleHash}'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'`,
  };
}

/** The browsable description brings its own scripts and styles, and asks nothing of other hosts. */
export const DOCS_SECURITY: Headers = {
  ...COMMON,
  "content-security-policy":
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
};
