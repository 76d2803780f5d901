import type { Caller } from "./caller.ts";

declare module "fastify" {
  interface FastifyContextConfig {
    /** The operation's one name, in the description, the log and the metrics. */
    readonly operationId?: string;
    /** The media types of bodies that the operation takes. */
    readonly accepted?: readonly string[];
    /** Its body is a file, which may come for minutes. */
    readonly file?: true;
  }

  interface FastifyRequest {
    /** Set before a handler runs; null for the operator and for anybody. */
    caller: Caller | null;
  }
}
