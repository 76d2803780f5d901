import type { Operation } from "../document/open-document.ts";
import type { Account } from "./account.ts";
import type { Dice } from "./dice.ts";
import type { Sender } from "./send.ts";
import { Stock } from "./stock.ts";

const CLOCK = "2026-06-15T08:00:00.000Z";

interface Made {
  readonly account: { readonly id: string };
  readonly apiKey: { readonly id: string; readonly key: string };
}

/** A new sandbox account, whose key may do everything. */
export async function makeAccount(
  sender: Sender,
  operatorToken: string,
  operations: readonly Operation[],
  dice: Dice,
): Promise<Account> {
  const marker = `mark${dice.below(2 ** 31).toString(36)}${dice.below(2 ** 31).toString(36)}`;
  const owner = { name: `Robin ${marker}`, email: `${marker}@example.org`, timeZone: "UTC" };
  const body = { name: `Riders ${marker}`, sandbox: true, clock: CLOCK, owner };
  const came = await sender.send({
    ...{ method: "POST", url: "/v1/accounts", body: Buffer.from(JSON.stringify(body)) },
    headers: { authorization: `Bearer ${operatorToken}`, "content-type": "application/json" },
  });
  if (came.status !== 201) throw new Error(`No account was made: ${came.body.toString()}`);
  const { account, apiKey } = JSON.parse(came.body.toString()) as Made;
  const stock = new Stock(operations);
  stock.ids.add(account.id).add(apiKey.id);
  return {
    id: account.id,
    key: apiKey.key,
    keyId: apiKey.id,
    marker,
    stock,
    name: body.name,
    moving: false,
    now: Date.parse(CLOCK),
  };
}

/** The account of a key that was handed in. */
export function accountOfKey(key: string, operations: readonly Operation[], now: number): Account {
  return {
    id: "",
    key,
    keyId: "",
    marker: "fuzz",
    name: "",
    stock: new Stock(operations),
    now,
    moving: false,
  };
}
