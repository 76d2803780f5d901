import formbody from "@fastify/formbody";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import type { LinkClaims } from "../../application/pack-claims.ts";
import { renderFaultPage } from "../../render/pages/fault-page.ts";
import { PAGE_STYLE_HASH } from "../../render/pages/layout.ts";
import { pageSecurity } from "../plugins/security-headers.ts";
import type { Services } from "../services.ts";
import { mailFreshLink, showExpired } from "./fresh-link.ts";
import { contextOf, fieldsOf, type LinkContext, type LinkState, tokenOf } from "./link-context.ts";
import type { PageAnswer } from "./page-answer.ts";
import { PURPOSES } from "./purposes.ts";

const BODY_LIMIT = 64 * 1024;

/**
 * The small pages behind the links in emails. GET shows and changes nothing, since mail scanners
 * follow links; POST acts, and one submission of a form counts once. They work without JavaScript.
 */
export async function registerPages(app: FastifyInstance, services: Services): Promise<void> {
  await app.register(async (pages) => {
    await pages.register(formbody, { bodyLimit: BODY_LIMIT });
    pages.addHook("onRequest", async (_request, reply) => {
      reply.headers({ ...pageSecurity(PAGE_STYLE_HASH), "cache-control": "no-store" });
    });
    const config = (operationId: string) => ({ config: { operationId } });
    pages.get("/links/:token", config("showLink"), (request, reply) =>
      answer(request, reply, services, show),
    );
    pages.post("/links/:token", config("followLink"), (request, reply) =>
      answer(request, reply, services, act),
    );
  });
}

type Handler = (
  state: Exclude<LinkState, { state: "bad" }>,
  request: FastifyRequest,
  services: Services,
  tx: Parameters<typeof contextOf>[0],
) => Promise<PageAnswer>;

async function answer(
  request: FastifyRequest,
  reply: FastifyReply,
  services: Services,
  handle: Handler,
): Promise<FastifyReply> {
  const claims = services.links.read(tokenOf(request));
  const page = claims ? await within(claims, request, services, handle) : badLink();
  return reply.code(page.status).type("text/html; charset=utf-8").send(page.html);
}

function within(
  claims: LinkClaims,
  request: FastifyRequest,
  services: Services,
  handle: Handler,
): Promise<PageAnswer> {
  return services.database.asAccount(claims.accountId, async (tx) => {
    const lock = request.method === "POST";
    const state = await contextOf(tx, tokenOf(request), claims, lock, services);
    return state.state === "bad" ? badLink() : handle(state, request, services, tx);
  });
}

const show: Handler = async ({ state, context }, _request, services) =>
  state === "expired"
    ? showExpired(context, services)
    : PURPOSES[context.claims.purpose].show(context, services);

const act: Handler = async ({ state, context }, request, services, tx) => {
  const fields = fieldsOf(request);
  const purpose = PURPOSES[context.claims.purpose];
  // RFC 8058: the mail program posts this and nothing else, so that there is no nonce to count.
  if (fields["List-Unsubscribe"] === "One-Click" && context.claims.purpose === "unsubscribe") {
    const step = purpose.read(context, fields, services);
    return typeof step === "function" ? step(tx) : step;
  }
  const { nonce = "" } = fields;
  if (!services.links.isNonceOf(context.token, nonce)) return badLink();
  const step =
    state === "expired"
      ? mailFreshLink(context, services)
      : purpose.read(context, fields, services);
  // A form with a fault did not count: it may be sent again.
  if (typeof step !== "function") return step;
  return (await tx.useNonce(nonce, context.now)) ? step(tx) : alreadyCounted(context);
};

function badLink(): PageAnswer {
  const html = renderFaultPage({ locale: "en", accountName: "", code: "badLink" });
  return { status: 404, html };
}

function alreadyCounted({ member, account }: LinkContext): PageAnswer {
  const view = {
    locale: member.locale,
    accountName: account.name,
    code: "alreadyCounted" as const,
  };
  return { status: 409, html: renderFaultPage(view) };
}
