import { writeNotice } from "../../application/write-notice.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { renderDonePage } from "../../render/pages/done-page.ts";
import { renderExpiredPage } from "../../render/pages/expired-page.ts";
import type { Services } from "../services.ts";
import type { LinkContext } from "./link-context.ts";
import { type FormOutcome, formView, ok, type PageAnswer } from "./page-answer.ts";

/** An expired link offers to mail a fresh one; it does nothing else. */
export function showExpired(context: LinkContext, services: Services): PageAnswer {
  const { purpose } = context.claims;
  const shown = purpose === "confirmAddress" ? "unsubscribe" : purpose;
  const html = renderExpiredPage({ ...formView(context, services), purpose: shown });
  return { status: 410, html };
}

/** The fresh link goes to the member's own address, whoever found the old one. */
export function mailFreshLink(context: LinkContext, services: Services): FormOutcome {
  const { claims, member, now } = context;
  const { purpose, vehicleId, taskId, reminderId } = claims;
  const hour = Math.floor(now / 3_600_000);
  return async (tx) => {
    const notice = {
      kind: "freshLink" as const,
      member,
      dedupe: `fresh:${member.id}:${purpose}:${taskId ?? vehicleId ?? ""}:${hour}`,
      content: { purpose, vehicleId, taskId, reminderId },
    };
    await writeNotice(tx, notice, now, services);
    const view = { ...formView(context, services), today: dateAt(now, member.timeZone) };
    return ok(renderDonePage({ ...view, done: { code: "linkMailed" } }));
  };
}
