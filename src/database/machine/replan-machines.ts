import type { Sql } from "../sql.ts";

/** Locked in the order of their ids, so that two who lock the same machines wait in turn. */
const REPLAN = `with locked as (
    select id from vehicle where account_id = current_account() and responsible_member_id = $1::uuid
    order by id for no key update
  )
  update vehicle v set replan_at = least(v.replan_at, $2::timestamptz)
  from locked where v.account_id = current_account() and v.id = locked.id`;

/** The worker's next round plans them anew, before it gathers what is due. */
export async function replanMachinesOf(sql: Sql, memberId: string, at: number): Promise<void> {
  await sql.query("replan-machines-of", REPLAN, [memberId, new Date(at).toISOString()]);
}
