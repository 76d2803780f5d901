/** A caller of the API over HTTP, as any other: no import from the service. */
export interface Answer<T = Record<string, never>> {
  status: number;
  headers: Headers;
  body: T;
}

// What the API answers is what a test looks into; its shape is held to the contract by the service.
// biome-ignore lint/suspicious/noExplicitAny: a black-box test reads arbitrary JSON
export type Json = any;

export interface Client {
  get(path: string, headers?: Record<string, string>): Promise<Answer<Json>>;
  post(path: string, body?: unknown, headers?: Record<string, string>): Promise<Answer<Json>>;
  patch(path: string, body: unknown, etag: string): Promise<Answer<Json>>;
  remove(path: string, etag: string): Promise<Answer<Json>>;
}

export function clientOf(baseUrl: string, token: string): Client {
  const call = async (
    method: string,
    path: string,
    body: unknown,
    headers: Record<string, string> = {},
  ): Promise<Answer<Json>> => {
    const response = await fetch(baseUrl + path, {
      method,
      headers: {
        authorization: `Bearer ${token}`,
        ...(body !== undefined && { "content-type": "application/json" }),
        ...headers,
      },
      ...(body !== undefined && { body: JSON.stringify(body) }),
    });
    const text = await response.text();
    const json = /[/+]json\b/.test(response.headers.get("content-type") ?? "");
    return {
      status: response.status,
      headers: response.headers,
      body: json && text !== "" ? JSON.parse(text) : text,
    };
  };
  return {
    get: (path, headers) => call("GET", path, undefined, headers),
    post: (path, body, headers) => call("POST", path, body ?? {}, headers),
    patch: (path, body, etag) => call("PATCH", path, body, { "if-match": etag }),
    remove: (path, etag) => call("DELETE", path, undefined, { "if-match": etag }),
  };
}

/** A sandbox account whose clock begins at the instant, with a key that may do everything. */
export async function sandbox(
  service: { baseUrl: string; operatorToken: string },
  clock: string,
  owner: Record<string, unknown> = {},
): Promise<Client & { moveTo(to: string): Promise<void>; owner: Json }> {
  const operator = clientOf(service.baseUrl, service.operatorToken);
  const made = await operator.post("/v1/accounts", {
    name: "Invented riders",
    sandbox: true,
    clock,
    owner: { name: "Robin", email: "robin@example.org", timeZone: "Europe/Berlin", ...owner },
  });
  if (made.status !== 201) throw new Error(JSON.stringify(made.body));
  const client = clientOf(service.baseUrl, made.body.apiKey.key);
  return {
    ...client,
    owner: made.body.owner,
    async moveTo(to) {
      const moved = await client.post("/v1/account/clock", { to });
      if (moved.status !== 200) throw new Error(JSON.stringify(moved.body));
    },
  };
}
