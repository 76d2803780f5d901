import { planDigest } from "../../application/mail/plan-digest.ts";
import type { DonePageView } from "../../application/page-views.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { renderConfirmAddressPage } from "../../render/pages/confirm-address-page.ts";
import { renderDonePage } from "../../render/pages/done-page.ts";
import { renderUnsubscribePage } from "../../render/pages/unsubscribe-page.ts";
import type { LinkContext } from "./link-context.ts";
import { formView, ok, type Purpose } from "./page-answer.ts";

/** Leave the mailing: one press here, or one that the mail program sends by itself. */
export const unsubscribePurpose: Purpose = {
  show: (context, services) =>
    ok(renderUnsubscribePage({ ...formView(context, services), email: context.member.email })),
  read: (context) => async (tx) => {
    const { member, now } = context;
    if (member.unsubscribedAt === null) {
      await tx.machine.replanOf(member.id, now);
      await tx.members.update(member.id, member.version, { unsubscribedAt: now, updatedAt: now });
      await planDigest(tx, { ...member, unsubscribedAt: now }, now);
    }
    return ok(renderDonePage(done(context, { code: "unsubscribed", email: member.email })));
  },
};

/** The owner of an address says that it is theirs. */
export const confirmAddressPurpose: Purpose = {
  show: (context, services) =>
    ok(renderConfirmAddressPage({ ...formView(context, services), email: context.member.email })),
  read: (context) => async (tx) => {
    const { member, now } = context;
    if (member.emailConfirmedAt === null) {
      await tx.members.update(member.id, member.version, { emailConfirmedAt: now, updatedAt: now });
    }
    return ok(renderDonePage(done(context, { code: "addressConfirmed", email: member.email })));
  },
};

function done({ member, account, now }: LinkContext, what: DonePageView["done"]): DonePageView {
  return {
    locale: member.locale,
    accountName: account.name,
    today: dateAt(now, member.timeZone),
    done: what,
  };
}
