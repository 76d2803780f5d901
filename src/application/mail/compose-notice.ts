import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { Links } from "../links.ts";
import type { Letter } from "../outbox-ports.ts";
import type { LinkPurpose } from "../pack-claims.ts";
import type { Account, Member } from "../records.ts";
import type { NoticeMailView } from "../views.ts";
import { frameOf } from "./compose-reminders.ts";

/**
 * A short mail: to confirm an address, in place of a link that has expired, or to tell the owner
 * that a member's address does not take mail.
 */
export function composeNotice(
  message: Letter["message"],
  account: Account,
  member: Member,
  now: Instant,
  links: Links,
): NoticeMailView {
  const frame = frameOf(account, member, now, links);
  const who = { accountId: account.id, memberId: member.id };
  if (message.kind === "confirmAddress") {
    const { email } = member;
    const link = links.url({ ...who, purpose: "confirmAddress", email }, now);
    return { ...frame, notice: { code: "confirmAddress", link } };
  }
  if (message.kind === "notice") {
    const { name, address, answer } = message.content;
    const refused = { name: String(name), address: String(address), answer: String(answer) };
    return { ...frame, notice: { code: "addressRefused", ...refused } };
  }
  const { purpose, vehicleId, taskId, reminderId } = message.content as {
    purpose: LinkPurpose;
    vehicleId?: string;
    taskId?: string;
    reminderId?: string;
  };
  const link = links.url(
    {
      ...who,
      purpose,
      ...(vehicleId !== undefined && { vehicleId }),
      ...(taskId !== undefined && { taskId }),
      ...(reminderId !== undefined && { reminderId }),
    },
    now,
  );
  return { ...frame, notice: { code: "freshLink", purpose, link } };
}
