import type { Socket } from "node:net";
import { type FastifyServerOptions, LogController } from "fastify";
import type { HttpOptions } from "./options.ts";
import { requestIdOf } from "./plugins/request-id.ts";
import { answerClientError } from "./socket-failures.ts";

const BODY_LIMIT = 1_048_576;
/** Headers that have not arrived by then are cut off: whoever sends slowly holds a place. */
const SLOWEST_MS = 9_000;
/** A file may come over a slow line; `plugins/slow-bodies.ts` holds every other body to seconds. */
const SLOWEST_FILE_MS = 15 * 60_000;

/** Everything bounded: sizes, times, and how long a connection may idle. */
export function serverOptions(options: HttpOptions) {
  return {
    bodyLimit: BODY_LIMIT,
    requestTimeout: SLOWEST_FILE_MS,
    connectionTimeout: 60_000,
    keepAliveTimeout: 65_000,
    return503OnClosing: false,
    routerOptions: { maxParamLength: 512 },
    http: {
      maxHeaderSize: 16_384,
      headersTimeout: SLOWEST_MS,
      connectionsCheckingInterval: 500,
      // Otherwise the server answers a missing Host itself, with an empty body.
      requireHostHeader: false,
    },
    genReqId: requestIdOf,
    logController: new LogController({
      disableRequestLogging: true,
      requestIdLogLabel: "requestId",
    }),
    clientErrorHandler: (error: Error & { code?: string }, socket: Socket) => {
      answerClientError(error, socket, options.baseUrl);
    },
    ...(options.logger === undefined ? {} : { loggerInstance: options.logger }),
    ...(options.trustProxy === undefined ? {} : { trustProxy: trusted(options.trustProxy) }),
  } satisfies FastifyServerOptions & { http: object };
}

function trusted(proxies: string | readonly string[]): string | string[] {
  return typeof proxies === "string" ? proxies : [...proxies];
}
