import type { FastifyRequest } from "fastify";
import { openedAt } from "../../application/links.ts";
import { type Assessed, assess } from "../../application/machine/assess.ts";
import type { LinkClaims } from "../../application/pack-claims.ts";
import type { Transaction } from "../../application/ports.ts";
import type { Account, Member } from "../../application/records.ts";
import type { Services } from "../services.ts";

/** Whom a link that works belongs to, and what it is about, as things stand now. */
export interface LinkContext {
  token: string;
  claims: LinkClaims;
  account: Account;
  member: Member;
  now: number;
  /** The machine, where the link is about one. */
  assessed: Assessed | null;
}

export type LinkState =
  | { state: "open"; context: LinkContext }
  | { state: "expired"; context: LinkContext }
  /** Made up, changed, or about something that is gone: nothing is told apart. */
  | { state: "bad" };

/** Looks a link up within the transaction of its account; `lock` where something is to be changed. */
export async function contextOf(
  tx: Transaction,
  token: string,
  claims: LinkClaims,
  lock: boolean,
  services: Services,
): Promise<LinkState> {
  const account = await tx.accounts.find();
  const member = await tx.members.find(claims.memberId);
  if (!account || !member) return { state: "bad" };
  if (claims.email !== undefined && claims.email !== member.email) return { state: "bad" };
  const now = account.clock ?? services.clock();
  const machine =
    claims.vehicleId === undefined ? null : await tx.machine.load(claims.vehicleId, lock);
  if (claims.vehicleId !== undefined && !machine) return { state: "bad" };
  // Whoever no longer looks after the machine has no business with it any more.
  if (machine && member.role === "rider" && machine.responsible.id !== member.id) {
    return { state: "bad" };
  }
  const context = {
    ...{ token, claims, account, member, now },
    assessed: machine && assess(machine, now),
  };
  const { state } = openedAt(claims, now);
  return state === "expired" ? { state, context } : { state: "open", context };
}

export function tokenOf(request: FastifyRequest): string {
  return (request.params as { token: string }).token;
}

/** The fields of a form: each once, as text. */
export function fieldsOf(request: FastifyRequest): Record<string, string> {
  const fields: Record<string, string> = {};
  for (const [name, value] of Object.entries((request.body ?? {}) as Record<string, unknown>)) {
    fields[name] = String(Array.isArray(value) ? value.at(-1) : value).trim();
  }
  return fields;
}
