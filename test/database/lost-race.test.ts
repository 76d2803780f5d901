import { uuidv7 } from "uuidv7";
import { afterAll, beforeAll, expect, test } from "vitest";
import { createAccount } from "../../src/application/accounts.ts";
import type { Database } from "../../src/application/database.ts";
import { PEOPLE } from "../../src/content/demo/people.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import type { Refusal } from "../../src/domain/failure/failure.ts";
import { connected } from "../support/connections.ts";

let stage: Awaited<ReturnType<typeof connected>>;
let database: Database;
const accountId = uuidv7();
beforeAll(async () => {
  stage = await connected();
  database = databaseOn(stage.connections);
  const key = { publicId: accountId, secretHash: new Uint8Array(32) };
  const account = { name: "Invented riders", sandbox: false, clock: null, owner: PEOPLE[0] };
  const deps = { database, ids: uuidv7, clock: Date.now, mailDomain: "example.org" };
  await database.asAccount(accountId, (tx) => createAccount(tx, account, key, deps));
});
afterAll(() => stage.stop());

/** Changes the owner's name in a transaction of its own. */
const rename = (name: string) =>
  database.asAccount(accountId, async (tx) => {
    const { id, version } = await tx.owner();
    await tx.members.update(id, version, { name });
  });

test("who writes a row that moved on under them reads it anew, and both changes stand", async () => {
  let tries = 0;
  await database.asAccount(accountId, async (tx) => {
    tries += 1;
    const { id, version } = await tx.owner();
    if (tries === 1) await rename("Robin, renamed");
    await tx.members.update(id, version, { locale: "fr" });
  });
  expect(tries).toBe(2);
  const owner = await database.asAccount(accountId, (tx) => tx.owner());
  expect(owner).toMatchObject({ name: "Robin, renamed", locale: "fr" });
});

test("who loses every time is told to come again, and has written nothing", async () => {
  let tries = 0;
  const losing = database.asAccount(accountId, async (tx) => {
    tries += 1;
    const { id, version } = await tx.owner();
    await rename(`Robin, ${tries}`);
    await tx.members.update(id, version, { locale: "es" });
  });
  const error = await losing.catch((thrown: unknown) => thrown);
  expect((error as Refusal).failure).toEqual({ kind: "unavailable", retryAfter: 1 });
  const owner = await database.asAccount(accountId, (tx) => tx.owner());
  expect(owner).toMatchObject({ name: `Robin, ${tries}`, locale: "fr" });
});
