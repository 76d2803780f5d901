import { z } from "zod";
import { AccountGone } from "../../application/account-gone.ts";
import { createAccount } from "../../application/accounts.ts";
import { requireRight } from "../../application/caller.ts";
import { changeAccount } from "../../application/change-account.ts";
import { makeApiKey } from "../api-key.ts";
import { EXAMPLE, exampleMember, exampleStored } from "../examples.ts";
import { applyPatch, patchOf } from "../patch-body.ts";
import { shownAccount, shownMember } from "../present/people.ts";
import { account, accountBody, accountChange, member, newApiKey } from "../schemas/people.ts";
import { clockTime } from "../schemas/time.ts";
import { defineRoute, inAccount } from "../services.ts";

const exampleAccount = {
  ...exampleStored,
  name: "Harbour co-operative",
  allowedOrigins: ["https://dash.example.org"],
  sandbox: true,
  clock: "2026-05-01T08:00:00.000Z",
};

const post = defineRoute({
  operationId: "createAccount",
  method: "POST",
  path: "/v1/accounts",
  tag: "Account",
  summary: "Make an account",
  description:
    "Makes an account with its owner, whose address the operator vouches for, and a first key with all scopes, shown once. With `sandbox: true` the account lives on its own clock and its mail is captured, never sent.",
  access: { operator: true },
  creates: "folded",
  secretFields: ["/apiKey/key"],
  body: accountBody,
  examples: {
    body: {
      name: "Harbour co-operative",
      sandbox: true,
      clock: EXAMPLE.at,
      owner: { name: exampleMember.name, email: exampleMember.email, timeZone: "Europe/Berlin" },
    },
  },
  answers: {
    201: {
      description: "The account, its owner and its first key.",
      schema: z
        .strictObject({ account, owner: member, apiKey: newApiKey })
        .meta({ id: "NewAccount" }),
      example: {
        account: exampleAccount,
        owner: exampleMember,
        apiKey: {
          id: EXAMPLE.id,
          key: "fw_0123456789abcdef_shown-once_000000",
          scopes: ["read", "readings:write", "write", "admin"],
        },
      },
    },
  },
  async handle({ body, deps, idempotency }) {
    const { publicId, secretHash, text: key } = makeApiKey();
    const input = { ...body, clock: body.clock ?? null };
    return deps.database.onceForOperator(deps.ids(), idempotency, async (tx) => {
      const made = await createAccount(tx, input, { publicId, secretHash }, deps);
      return {
        status: 201,
        location: "/v1/account",
        body: {
          account: shownAccount(made.account),
          owner: shownMember(made.owner),
          apiKey: { id: made.key.id, key, scopes: made.key.scopes },
        },
      };
    });
  },
});

const get = defineRoute({
  operationId: "getAccount",
  method: "GET",
  path: "/v1/account",
  tag: "Account",
  summary: "The account of the key",
  description: "The account that the key belongs to; a sandbox shows its own time as `clock`.",
  access: { scope: "read" },
  versioned: true,
  answers: { 200: { description: "The account.", schema: account, example: exampleAccount } },
  async handle(call) {
    const found = await inAccount(call, (tx) => tx.accounts.find());
    if (!found) throw new AccountGone();
    return { status: 200, body: shownAccount(found), version: found.version };
  },
});

const patch = defineRoute({
  operationId: "changeAccount",
  method: "PATCH",
  path: "/v1/account",
  tag: "Account",
  summary: "Change the account",
  description:
    "Changes the account's name, or the origins of the web pages that may call with its keys, by a merge patch (RFC 7396). A browser on such a page may read what keys of this account are answered, and no other account's. Origins may take five seconds to be known everywhere.",
  access: { scope: "admin" },
  versioned: true,
  body: patchOf(accountChange),
  examples: { body: { allowedOrigins: ["https://dash.example.org"] } },
  answers: { 200: { description: "The account.", schema: account, example: exampleAccount } },
  async handle(call) {
    const written = await inAccount(call, (tx) =>
      changeAccount(
        tx,
        call.caller,
        call.ifMatch,
        ({ name, allowedOrigins }) =>
          applyPatch(accountChange, { name, allowedOrigins }, call.body),
        call.deps,
      ),
    );
    return { status: 200, body: shownAccount(written), version: written.version };
  },
});

const moveClock = defineRoute({
  operationId: "moveClock",
  method: "POST",
  path: "/v1/account/clock",
  tag: "Account",
  summary: "Move a sandbox's clock forward",
  description:
    "Moves the clock of a sandbox account forward. Everything that would have happened on the way has happened when it answers: reminders reached, messages written and captured. The clock never goes back.",
  access: { scope: "admin" },
  versioned: true,
  body: z.strictObject({ to: clockTime }).meta({ id: "ClockMove" }),
  examples: { body: { to: "2027-03-01T08:00:00Z" } },
  problems: ["conflict"],
  answers: {
    200: { description: "The account at its new time.", schema: account, example: exampleAccount },
  },
  async handle(call) {
    requireRight(call.caller, "administer");
    await call.deps.moveClock(call.caller.accountId, call.body.to);
    const found = await inAccount(call, (tx) => tx.accounts.find());
    if (!found) throw new AccountGone();
    return { status: 200, body: shownAccount(found), version: found.version };
  },
});

export const accountRoutes = [post, get, patch, moveClock];
