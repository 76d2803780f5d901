import { z } from "zod";
import { deleteAccount } from "../../application/delete-account.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { EXAMPLE } from "../examples.ts";
import { shownDeletion } from "../present/deleted-account.ts";
import { id } from "../schemas/common.ts";
import { instant } from "../schemas/time.ts";
import { defineRoute } from "../services.ts";

const deletedAccount = z
  .strictObject({
    accountId: id,
    deletedAt: instant,
    rows: z
      .record(z.string(), z.int().min(0))
      .meta({ description: "How many rows were deleted, by what they were." }),
    remaining: z.int().min(0).meta({
      description: "Rows of the account that are left in any table, counted for this answer: 0.",
    }),
    proof: z.string().meta({ description: "Shows this again, without a key." }),
  })
  .meta({ id: "DeletedAccount", description: "An account that was deleted for good." });

const example = {
  accountId: EXAMPLE.id,
  deletedAt: EXAMPLE.at,
  rows: { accounts: 1, apiKeys: 2, members: 3, readings: 512, vehicles: 4 },
  remaining: 0,
  proof: "AZk7H28velGw9D8_PVwdKhAAAZN9tJgAKm9xVbJm0Q3nQ7oY4l1Jzw",
};

const answer = { schema: deletedAccount, example };

const remove = defineRoute({
  operationId: "deleteAccount",
  method: "DELETE",
  path: "/v1/account",
  tag: "Account",
  summary: "Delete the account for good",
  description:
    "Deletes everything of the account in one transaction: its machines, readings, work, people, keys, messages, events and kept answers. Nothing of it can be had again, and no key of it opens anything any more. For an owner's key, or one that is bound to nobody. `name` must be the account's name, so that nobody deletes another than is meant. Then it counts, in a second transaction and in every table, what is left: `remaining`. What is kept is the account's id, the moment, and how many rows there were. Copies of the database that whoever runs the service has made are not touched.",
  access: { scope: "admin" },
  versioned: true,
  query: z.strictObject({
    name: z.string().min(1).max(200).meta({ description: "The account's name, letter by letter." }),
  }),
  problems: ["conflict", "notFound"],
  answers: { 200: { ...answer, description: "It is gone." } },
  async handle({ caller, query, ifMatch, deps }) {
    const { remaining, ...deleted } = await deleteAccount(caller, query.name, ifMatch, deps);
    const proof = deps.deletionProofs.token(deleted);
    return { status: 200, body: shownDeletion(deleted, remaining, proof) };
  },
});

const get = defineRoute({
  operationId: "getDeletedAccount",
  method: "GET",
  path: "/v1/deleted-accounts/{proof}",
  tag: "Account",
  summary: "The proof of a deletion",
  description:
    "What was answered when the account was deleted, with what is left of it counted again. Without a key: the account has none any more. Whoever holds the proof may look.",
  access: { open: true },
  params: z.strictObject({
    proof: z.string().max(512).meta({ description: "As it stands in the deletion's answer." }),
  }),
  answers: { 200: { ...answer, description: "What was deleted." } },
  async handle({ params, deps }) {
    const claims = deps.deletionProofs.read(params.proof);
    const found = claims && (await deps.erasure.find(claims.accountId));
    if (!found || found.deletedAt !== claims.deletedAt) {
      throw new Refusal({ kind: "notFound", resource: "deleted account" });
    }
    const remaining = await deps.erasure.left(claims.accountId);
    return { status: 200, body: shownDeletion(found, remaining, params.proof) };
  },
});

export const deletedAccountRoutes = [remove, get];
