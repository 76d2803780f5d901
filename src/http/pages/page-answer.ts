import { machineView } from "../../application/machine/mail-view.ts";
import type { FormView } from "../../application/page-views.ts";
import type { Transaction } from "../../application/ports.ts";
import type { Services } from "../services.ts";
import type { LinkContext } from "./link-context.ts";

export interface PageAnswer {
  status: number;
  html: string;
}

/** What a sent form comes to: a page that names its faults, or the step that does what it asks. */
export type FormOutcome = PageAnswer | ((tx: Transaction) => Promise<PageAnswer>);

export interface Purpose {
  /** Shows the form; changes nothing. */
  show(context: LinkContext, services: Services): PageAnswer;
  /** Reads the form that was sent; nothing is changed before the step runs. */
  read(context: LinkContext, fields: Record<string, string>, services: Services): FormOutcome;
}

/** What every form of a link carries. */
export function formView(context: LinkContext, { links }: Services): FormView {
  const { token, member, account, assessed } = context;
  return {
    locale: member.locale,
    accountName: account.name,
    ...(assessed && { machine: machineView(assessed.machine) }),
    action: `/links/${token}`,
    nonce: links.nonce(token),
  };
}

export function ok(html: string): PageAnswer {
  return { status: 200, html };
}

/** A form that comes back with what was typed and what is wrong with it. */
export function faulty(html: string): PageAnswer {
  return { status: 422, html };
}
