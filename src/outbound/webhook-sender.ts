import { isIP } from "node:net";
import { Agent, request } from "undici";
import type { WebhookAnswer, WebhookSender } from "../application/webhooks/ports.ts";
import { isPublicAddress } from "../application/webhooks/public-address.ts";
import { InsideAddress, lookupPublic } from "./public-address.ts";

export interface WebhookSettings {
  /** Lets targets lie inside and be reached without TLS: for development. */
  allowPrivate: boolean;
  /** How long a receiver may take altogether, in ms. */
  timeoutMs?: number;
}

/** The longest that one delivery can take: what a lease must outlast. */
export const LONGEST_DELIVERY_MS = 20_000;
const TIMEOUT_MS = 15_000;
const READ_BYTES = 64 * 1024;

/**
 * Posts deliveries. Targets that would reach inside are refused at the moment of connecting,
 * redirects are not followed, and of an answer no more than 64 KiB are read.
 */
export function webhookSender({
  allowPrivate,
  timeoutMs = TIMEOUT_MS,
}: WebhookSettings): WebhookSender {
  const agent = new Agent({
    connect: { timeout: timeoutMs, ...(!allowPrivate && { lookup: lookupPublic }) },
    maxResponseSize: READ_BYTES,
    // A kept connection would go on to an address that was looked up long ago.
    pipelining: 0,
  });
  return {
    relays: true,
    async send({ url, headers, body }) {
      const refused = allowPrivate ? null : refusal(new URL(url));
      if (refused !== null) return { kind: "unreached", why: refused };
      try {
        const answer = await request(url, {
          ...{ method: "POST", headers, body, dispatcher: agent },
          signal: AbortSignal.timeout(timeoutMs),
        });
        const text = await answer.body.text().catch(() => "");
        const { statusCode: status } = answer;
        const retryAfterMs = waitOf(answer.headers["retry-after"]);
        return { kind: "answered", status, retryAfterMs, text: onOneLine(text) };
      } catch (error) {
        return { kind: "unreached", why: whyOf(error as Error, timeoutMs) } satisfies WebhookAnswer;
      }
    },
  };
}

/** A literal address is never looked up, hence it is judged here. */
function refusal({ protocol, hostname }: URL): string | null {
  if (protocol !== "https:") return "Only https: addresses are delivered to.";
  const host = hostname.replace(/^\[|\]$/g, "");
  return isIP(host) !== 0 && !isPublicAddress(host) ? new InsideAddress(host).message : null;
}

/** Seconds or a date (RFC 9110, 10.2.3); null where there is none that can be read. */
function waitOf(header: string | string[] | undefined): number | null {
  const text = Array.isArray(header) ? header[0] : header;
  if (text === undefined) return null;
  if (/^\d{1,9}$/.test(text)) return Number(text) * 1000;
  const at = Date.parse(text);
  return Number.isNaN(at) ? null : Math.max(0, at - Date.now());
}

function whyOf(error: Error & { code?: string; cause?: unknown }, timeoutMs: number): string {
  const inner = error.cause instanceof Error ? error.cause : error;
  if (inner instanceof InsideAddress || error instanceof InsideAddress) return inner.message;
  if (error.name === "TimeoutError" || error.code === "UND_ERR_CONNECT_TIMEOUT") {
    return `No answer within ${timeoutMs / 1000} s.`;
  }
  return onOneLine(inner.message || (error.code ?? "It could not be reached."));
}

function onOneLine(text: string): string {
  return text.replaceAll(/\p{Cc}+/gu, " ").trim();
}
