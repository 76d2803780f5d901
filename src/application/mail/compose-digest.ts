import {
  addDays,
  addMonths,
  type Instant,
  type PlainDate,
} from "../../domain/calendar/plain-date.ts";
import { dateAt, startOfDay } from "../../domain/calendar/zone.ts";
import { type DigestPace, digestSpan } from "../../domain/reminder/digest.ts";
import type { DigestMailView } from "../digest-view.ts";
import type { Links } from "../links.ts";
import type { Letter } from "../outbox-ports.ts";
import type { Machine, Transaction } from "../ports.ts";
import type { Account, Member } from "../records.ts";
import { frameOf } from "./compose-reminders.ts";
import type { DigestNews } from "./digest-store.ts";
import { type Survey, surveyMachines } from "./survey-machines.ts";

/** Machines that are read at once: each is a few kB of JSON. */
const CHUNK = 50;

/**
 * The digest of a member, from the data as they are now: of all machines of the account for whoever
 * manages them, else of those that the member looks after. Null where there is nothing to tell.
 */
export async function composeDigest(
  tx: Transaction,
  message: Letter["message"],
  account: Account,
  member: Member,
  now: Instant,
  links: Links,
): Promise<DigestMailView | null> {
  const pace = paceOf(message);
  const today = dateAt(now, member.timeZone);
  const span = digestSpan(pace, today);
  const manages = member.role === "owner" || member.role === "manager";
  const sentBefore = await tx.digests.lastSentAt(member.id);
  const since = sentBefore ?? startOfDay(spanBack(pace, today), member.timeZone);
  const news = await tx.digests.news(since, manages ? null : member.id);
  const pages = manages ? allMachines(tx) : ownMachines(tx, member.id);
  const survey = await surveyMachines(pages, { account, member, now, pace, span, links });
  if (saysNothing(survey, news)) return null;
  const frame = frameOf(account, member, now, links);
  return { ...frame, pace, span, since: dateAt(since, member.timeZone), ...survey, ...news };
}

function paceOf({ content }: Letter["message"]): DigestPace {
  return content.pace === "monthly" ? "monthly" : "weekly";
}

function spanBack(pace: DigestPace, today: PlainDate): PlainDate {
  return pace === "weekly" ? addDays(today, -7) : addMonths(today, -1);
}

async function* allMachines(tx: Transaction): AsyncGenerator<Machine[]> {
  for (let after: string | null = null; ; ) {
    const machines = await tx.machine.loadMany({ after, limit: CHUNK });
    yield machines;
    if (machines.length < CHUNK) return;
    after = machines.at(-1)?.vehicle.id ?? null;
  }
}

async function* ownMachines(tx: Transaction, memberId: string): AsyncGenerator<Machine[]> {
  for (let after = null, more = true; more; ) {
    const page = await tx.vehicles.list({ responsibleMemberId: memberId }, { limit: CHUNK, after });
    const ids = page.items.map(({ id }) => id);
    yield await tx.machine.loadMany({ ids });
    after = page.next as null;
    more = page.next !== null;
  }
}

/** A digest that says nothing is noise. */
function saysNothing(survey: Survey, news: DigestNews): boolean {
  const told = [survey.overdue, survey.due, survey.next.jobs, survey.held.count];
  const since = [news.work.count, news.undelivered.count, news.refused.count];
  return [...told, survey.silent.count, ...since, news.failedDeliveries].every((n) => n === 0);
}
