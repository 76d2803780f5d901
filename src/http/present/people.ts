import type { Account, ApiKey, Member } from "../../application/records.ts";
import { shownInstantOrNull, shownStored } from "./shown.ts";

export function shownAccount(account: Account) {
  const { name, allowedOrigins, sandbox, clock } = account;
  return {
    ...shownStored(account, { name, allowedOrigins }),
    ...{ sandbox, clock: shownInstantOrNull(clock) },
  };
}

export function shownMember(member: Member) {
  const { name, email, role, locale, timeZone, unit, reminders, externalId } = member;
  return shownStored(member, {
    name,
    email,
    emailConfirmed: member.emailConfirmedAt !== null,
    emailSuppressed: member.emailSuppressed,
    unsubscribedAt: shownInstantOrNull(member.unsubscribedAt),
    role,
    locale,
    timeZone,
    unit,
    reminders,
    externalId,
  });
}

/** The writable part of a member, as a caller would write it: what a patch is applied to. */
export function writableMember(member: Member) {
  const { name, email, role, locale, timeZone, unit, reminders, externalId } = member;
  return { name, email, role, locale, timeZone, unit, reminders: { ...reminders }, externalId };
}

export function shownKey(key: ApiKey) {
  const { name, scopes, memberId, vehicleIds, parentId } = key;
  return shownStored(key, {
    name,
    scopes,
    memberId,
    vehicleIds,
    parentId,
    expiresAt: shownInstantOrNull(key.expiresAt),
    revokedAt: shownInstantOrNull(key.revokedAt),
    lastUsedAt: shownInstantOrNull(key.lastUsedAt),
  });
}
