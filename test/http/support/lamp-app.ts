import type { FastifyInstance, InjectOptions, LightMyRequestResponse } from "fastify";
import { answerCheck, type SeenAnswer } from "../../../src/commands/document/check-answer.ts";
import type { OpenDocument } from "../../../src/commands/document/open-document.ts";
import { makeApiKey } from "../../../src/http/api-key.ts";
import { buildApp, type HttpApp } from "../../../src/http/app.ts";
import type { Caller, KeyRecord, Scope } from "../../../src/http/caller.ts";
import type { HttpOptions, HttpPorts } from "../../../src/http/options.ts";
import { DEFAULT_RATES } from "../../../src/http/plugins/rate-options.ts";
import { holdAnswer } from "../../support/from-the-document.ts";
import { type Lamps, lampRoutes } from "./lamps.ts";

export const OPERATOR_TOKEN = "operator-token-of-the-tests";

export interface LampApp extends HttpApp {
  readonly lamps: Lamps;
  /** A new key, as its owner holds it. */
  keyWith(scopes: readonly Scope[], more?: Partial<KeyRecord>): string;
  send(key: string | null, request: InjectOptions): Promise<LightMyRequestResponse>;
}

interface LampOptions extends Partial<Omit<HttpOptions, "ports">> {
  readonly ports?: Partial<HttpPorts>;
}

export async function lampApp(more: LampOptions = {}): Promise<LampApp> {
  const keys = new Map<string, KeyRecord>();
  const lamps: Lamps = { rows: new Map(), made: 0, kept: new Map() };
  const built = await buildApp(lampRoutes, lamps, {
    baseUrl: "https://api.example.org",
    signingSecret: "a signing secret of the tests, long enough",
    operatorToken: OPERATOR_TOKEN,
    now: () => Date.parse("2026-05-01T08:00:00Z"),
    rates: { ...DEFAULT_RATES, key: { requests: 1000, seconds: 1 } },
    checkAnswers: true,
    description: { version: "0", tags: [{ name: "Lamps", description: "Made-up lamps." }] },
    ...more,
    ports: {
      findKey: async ({ publicId }) => ({
        ...{ record: keys.get(publicId) ?? null, counted: null, refused: null },
      }),
      ready: async () => true,
      ...more.ports,
    },
  });
  holdInjected(built);
  await built.app.ready();
  return {
    ...built,
    lamps,
    keyWith(scopes, record = {}) {
      const key = makeApiKey();
      const caller: Caller = { accountId: "acc", keyId: key.publicId, scopes };
      keys.set(key.publicId, {
        ...caller,
        secretHash: key.secretHash,
        expiresAt: null,
        originAllowed: false,
        ...record,
      });
      return key.text;
    },
    send: async (key, request) => inject(built.app, key, request),
  };
}

/** Requests that never go over a wire are held to the document too. */
function holdInjected({ app, description }: HttpApp): void {
  const check = answerCheck(JSON.parse(JSON.stringify(description)) as OpenDocument);
  const inject = app.inject.bind(app) as (
    request: InjectOptions,
  ) => Promise<LightMyRequestResponse>;
  const held = async (request: InjectOptions | string) => {
    const asked = typeof request === "string" ? { url: request } : request;
    const response = await inject(asked);
    holdAnswer(check, seenAnswer(asked, response), false);
    return response;
  };
  app.inject = held as typeof app.inject;
}

function seenAnswer(asked: InjectOptions, response: LightMyRequestResponse): SeenAnswer {
  const { method = "GET", url = "" } = asked;
  const fields = Object.entries(response.headers).map(([name, value]) => [name, String(value)]);
  return {
    method,
    url: typeof url === "string" ? url : String(url.pathname),
    status: response.statusCode,
    headers: Object.fromEntries(fields),
    body: response.rawPayload,
  };
}

function inject(app: FastifyInstance, key: string | null, request: InjectOptions) {
  const authorization = key === null ? {} : { authorization: `Bearer ${key}` };
  return app.inject({ ...request, headers: { ...authorization, ...request.headers } });
}
