import type { Letter } from "../application/outbox-ports.ts";
import { ACCOUNT, MEMBER } from "./machine/load-machine.ts";
import { inMs, type Sql } from "./sql.ts";

const LETTER = `select json_build_object(
    'message', json_build_object('id', l.id, 'kind', l.kind, 'content', l.content,
      'messageIdHeader', l.message_id_header, 'giveUpAt', ${inMs("l.give_up_at")}),
    'account', ${ACCOUNT}, 'member', case when m.id is not null then ${MEMBER} end,
    'vehicleIds', (select coalesce(json_agg(distinct r.vehicle_id), '[]') from reminder r
                   where r.account_id = l.account_id and r.message_id = l.id)) as letter
  from message l
  join account a on a.id = l.account_id
  left join member m on m.account_id = l.account_id and m.id = l.member_id
  where l.account_id = current_account() and l.id = $1::uuid`;

/** A message with all that sending it needs to know, in one look. */
export async function loadLetter(sql: Sql, messageId: string): Promise<Letter | null> {
  const rows = await sql.query<{ letter: Letter }>("letter", LETTER, [messageId]);
  return rows[0]?.letter ?? null;
}
