import type { Imports } from "../../application/imports/ports.ts";
import { bulkTransaction, tellBusy } from "../bulk-transaction.ts";
import type { Connections } from "../client.ts";
import { sqlOfPrisma } from "../sql.ts";
import { accountImportOn } from "./account-import.ts";
import { readingsImportOn } from "./readings-import.ts";
import { rowsImportOn } from "./rows-import.ts";

/** A file comes slowly, and each of its rows is a verb: Prisma's usual half minute is not for it. */
const LONG = { maxWait: 5_000, timeout: 30 * 60_000 };
const SCOPE = `select set_config('forewheel.account', $1::text, true), set_config('lock_timeout', '30s', true)`;

export function importsOn({ bulk, prisma }: Connections): Imports {
  return {
    ofReadings: (accountId, work) =>
      bulkTransaction(bulk, accountId, async (connection) =>
        work(await readingsImportOn(connection, accountId)),
      ),
    ofAccount: (accountId, work) =>
      bulkTransaction(bulk, accountId, async (connection) =>
        work(await accountImportOn(connection, accountId)),
      ),
    ofRows: (accountId, work) =>
      prisma
        .$transaction(async (on) => {
          await sqlOfPrisma(on).query("scope", SCOPE, [accountId]);
          return work(await rowsImportOn(on, accountId));
        }, LONG)
        .catch(tellBusy),
  };
}
