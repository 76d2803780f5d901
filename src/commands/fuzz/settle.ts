import type { Dice } from "./dice.ts";
import type { Draft } from "./valid-request.ts";

type Settling = (body: Record<string, unknown>, draft: Draft, dice: Dice) => void;

const HOUR_MS = 3_600_000;

/** What no schema can say: values that have to fit to what is stored, or to the time. */
const SETTLINGS: Readonly<Record<string, Settling>> = {
  moveClock(body, { account }, dice) {
    body.to = new Date(account.now + dice.between(1, 6) * HOUR_MS).toISOString();
  },
  addWebhookEndpoint: settleEvents,
  changeWebhookEndpoint: settleEvents,
  deferReminder(body, { account }, dice) {
    delete body.untilDistance;
    const until = account.now + dice.between(2, 30) * 24 * HOUR_MS;
    body.untilOn = new Date(until).toISOString().slice(0, 10);
  },
  logWork: settleWork,
  amendWorkRecord: settleWork,
};

/** To be told of everything would make each move of the clock deliver thousands. */
function settleEvents(body: Record<string, unknown>): void {
  body.eventTypes = ["task.due", "member.added"];
}

/** Points that are measured belong to the tasks that were done, and what was read fits to readings. */
function settleWork(body: Record<string, unknown>, { account }: Draft, dice: Dice): void {
  delete body.findings;
  delete body.reading;
  if (body.doneAt !== undefined) {
    const at = account.now - dice.below(30) * 24 * HOUR_MS;
    body.doneAt = new Date(at).toISOString().slice(0, 10);
  }
}

/** Makes a draft fit where its schema alone does not see to it. */
export function settle(draft: Draft, dice: Dice): void {
  if (typeof draft.body !== "object" || draft.body === null) return;
  SETTLINGS[draft.operation.operationId]?.(draft.body as Record<string, unknown>, draft, dice);
}
