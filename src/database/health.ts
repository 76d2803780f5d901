import type { Health } from "../application/outbox-ports.ts";
import { RELAY_DOWN } from "./relay.ts";
import { inMs, type Sql } from "./sql.ts";
import { ON_HOLD } from "./worker-position.ts";

/** After this long past its hour a reminder that is in no message has been overlooked. */
const OVERLOOKED = "interval '10 minutes'";

const channel = (name: string, test: string): string => `'${name}', (
    select json_build_object('waiting', count(*),
      'oldestMs', coalesce(max(${inMs("$1::timestamptz - m.next_attempt_at")}), 0))
    from message m join account a on a.id = m.account_id
    where m.status in ('waiting', 'sending', 'unknown') and m.next_attempt_at <= $1::timestamptz
      and not a.sandbox and ${test})`;

/** Sandboxes live on clocks of their own and are nobody's worry at night. */
const HEALTH = `select json_build_object(
  'channels', json_build_object(${channel("mail", "m.kind <> 'webhook'")}, ${channel("webhook", "m.kind = 'webhook'")}),
  'unknown', (select count(*) from message m join account a on a.id = m.account_id
              where m.status = 'unknown' and not a.sandbox),
  'overlooked', (select count(*) from reminder r join account a on a.id = r.account_id
                 where r.status in ('planned', 'deferred') and r.message_id is null
                   and r.planned_for < $1::timestamptz - ${OVERLOOKED} and not a.sandbox),
  'toReplan', (select count(*) from vehicle v join account a on a.id = v.account_id
               where v.replan_at < $1::timestamptz - ${OVERLOOKED} and not a.sandbox),
  'relayDown', ${RELAY_DOWN}, 'onHold', ${ON_HOLD},
  'auditedAt', (select ${inMs("max(finished_at)")} from audit),
  'auditFound', (select overlooked from audit where finished_at is not null order by audited_on desc limit 1)
) as health`;

/** How delivery stands over all accounts, for whoever watches it; `now` is the database's time. */
export async function healthAt(sql: Sql, now: number): Promise<Health> {
  const at = new Date(now).toISOString();
  const [row] = await sql.query<{ health: Health }>("health", HEALTH, [at]);
  if (!row) throw new Error("The database tells nothing of its health.");
  return row.health;
}
