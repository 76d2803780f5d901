import swagger from "@fastify/swagger";
import swaggerUi from "@fastify/swagger-ui";
import type { FastifyInstance } from "fastify";
import type { Description } from "../document.ts";
import { DOCS_SECURITY } from "./security-headers.ts";

/** Serves the description at `/openapi.json`, and at `/docs` to browse, without a key or another host. */
export async function serveDocs(app: FastifyInstance, description: Description): Promise<void> {
  const text = JSON.stringify(description);
  app.get("/openapi.json", { config: { operationId: "getDescription" } }, async (_request, reply) =>
    reply.type("application/json; charset=utf-8").send(text),
  );
  await app.register(async (docs) => {
    docs.addHook("onRequest", (_request, reply, done) => {
      reply.headers(DOCS_SECURITY);
      done();
    });
    await docs.register(swagger, {
      mode: "static",
      specification: { document: description as never },
    });
    await docs.register(swaggerUi, {
      routePrefix: "/docs",
      theme: { title: "The API of Forewheel" },
      uiConfig: { validatorUrl: null, docExpansion: "none" },
    });
  });
}
