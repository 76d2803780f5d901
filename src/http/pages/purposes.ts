import type { LinkPurpose } from "../../application/pack-claims.ts";
import { deferPurpose } from "./defer.ts";
import { layUpPurpose } from "./lay-up.ts";
import { logWorkPurpose } from "./log-work.ts";
import { confirmAddressPurpose, unsubscribePurpose } from "./membership.ts";
import type { Purpose } from "./page-answer.ts";
import { postReadingPurpose } from "./post-reading.ts";

/** What each kind of link shows and does. */
export const PURPOSES: Record<LinkPurpose, Purpose> = {
  postReading: postReadingPurpose,
  logWork: logWorkPurpose,
  defer: deferPurpose,
  unsubscribe: unsubscribePurpose,
  confirmAddress: confirmAddressPurpose,
  layUp: layUpPurpose,
};
