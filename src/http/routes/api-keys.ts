import { z } from "zod";
import { addKey, revokeKey, rotateKey } from "../../application/accounts.ts";
import { requireRight } from "../../application/caller.ts";
import { findOrRefuse } from "../../application/find-or-refuse.ts";
import { addShortLivedKey } from "../../application/short-lived-keys.ts";
import { makeApiKey } from "../api-key.ts";
import { EXAMPLE, exampleStored } from "../examples.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownKey } from "../present/people.ts";
import { id, page } from "../schemas/common.ts";
import { apiKey, keyBody, keyList, keyOnce, shortLivedKeyBody } from "../schemas/people.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";

const params = z.strictObject({ keyId: id });

const exampleKey = {
  ...exampleStored,
  name: "Phone of the harbour riders",
  scopes: ["read", "readings:write"],
  memberId: null,
  vehicleIds: [EXAMPLE.vehicleId],
  parentId: null,
  expiresAt: null,
  revokedAt: null,
  lastUsedAt: null,
};

const madeKey = apiKey.extend({ key: keyOnce }).meta({ id: "MadeApiKey" });

const madeAnswer = {
  description: "The key, shown this once.",
  schema: madeKey,
  example: { ...exampleKey, key: "fw_0123456789abcdef_shown-once_000000" },
};

const exampleShortLived = {
  ...{ ...exampleKey, name: "Short-lived", scopes: ["read"], vehicleIds: null },
  ...{ parentId: EXAMPLE.id, expiresAt: "2026-05-01T08:30:00.000Z" },
  key: "fw_0123456789abcdef_shown-once_000000",
};

const post = defineRoute({
  operationId: "makeApiKey",
  method: "POST",
  path: "/v1/api-keys",
  tag: "API key",
  summary: "Make a key",
  description:
    "Makes a key, shown once. Bound to a member it has that member's rights; bound to vehicles it sees nothing else, and administers nothing. It never has a scope that the key which makes it lacks.",
  access: { scope: "admin" },
  creates: "folded",
  secretFields: ["/key"],
  versioned: true,
  body: keyBody,
  examples: {
    body: { name: exampleKey.name, scopes: exampleKey.scopes, vehicleIds: [EXAMPLE.vehicleId] },
  },
  answers: { 201: madeAnswer },
  async handle(call) {
    const { publicId, secretHash, text: key } = makeApiKey();
    return onceInAccount(call, async (tx) => {
      const made = await addKey(tx, call.caller, call.body, { publicId, secretHash }, call.deps);
      return {
        status: 201,
        location: `/v1/api-keys/${made.id}`,
        body: { ...shownKey(made), key },
        version: made.version,
      };
    });
  },
});

const postShortLived = defineRoute({
  operationId: "makeShortLivedKey",
  method: "POST",
  path: "/v1/api-keys/short-lived",
  tag: "API key",
  summary: "Make a key for a while",
  description:
    "Makes a key that works for `minutes`, shown once: for a page in a browser, which can keep no secret for long. Any key may make one, but for short-lived ones. It has only scopes that the key which makes it has, never `admin`, and sees nothing that this one does not see. It expires and is revoked with it.",
  access: { scope: "any" },
  creates: "folded",
  secretFields: ["/key"],
  versioned: true,
  body: shortLivedKeyBody,
  examples: { body: { scopes: ["read"], minutes: 30 } },
  answers: { 201: { ...madeAnswer, example: exampleShortLived } },
  async handle(call) {
    const { publicId, secretHash, text: key } = makeApiKey();
    return onceInAccount(call, async (tx) => {
      const fresh = { publicId, secretHash };
      const made = await addShortLivedKey(tx, call.caller, call.body, fresh, call.deps);
      return {
        status: 201,
        location: `/v1/api-keys/${made.id}`,
        body: { ...shownKey(made), key },
        version: made.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listApiKeys",
  method: "GET",
  path: "/v1/api-keys",
  tag: "API key",
  summary: "List keys",
  description:
    "Keys without their secrets, newest first, on (createdAt, id). Short-lived keys are listed with `shortLived=true` alone, until a day after they have expired.",
  access: { scope: "admin" },
  query: keyList,
  answers: {
    200: {
      description: "A page of keys.",
      schema: page(apiKey, "ApiKeyPage"),
      example: { items: [exampleKey], nextCursor: null },
    },
  },
  async handle(call) {
    requireRight(call.caller, "administer");
    const { shortLived, memberId, updatedAfter } = call.query;
    const filter = { shortLived, memberId, updatedAfter };
    const found = await inAccount(call, (tx) => tx.keys.list(filter, pageAsked(call)));
    return pageAnswer(call, found, shownKey);
  },
});

const get = defineRoute({
  operationId: "getApiKey",
  method: "GET",
  path: "/v1/api-keys/{keyId}",
  tag: "API key",
  summary: "One key",
  description: "A key without its secret.",
  access: { scope: "admin" },
  versioned: true,
  params,
  answers: { 200: { description: "The key.", schema: apiKey, example: exampleKey } },
  async handle(call) {
    requireRight(call.caller, "administer");
    const found = await inAccount(call, (tx) =>
      findOrRefuse(tx.keys, call.params.keyId, "API key"),
    );
    return { status: 200, body: shownKey(found), version: found.version };
  },
});

const rotate = defineRoute({
  operationId: "rotateApiKey",
  method: "POST",
  path: "/v1/api-keys/{keyId}/rotate",
  tag: "API key",
  summary: "Rotate a key",
  description:
    "Makes a new key with the same rights; the caller's key must have its scopes too. The old one works on for `overlapMinutes`, so that an app can change over without a gap; short-lived keys that it made end with it.",
  access: { scope: "admin" },
  creates: "folded",
  secretFields: ["/key"],
  versioned: true,
  params,
  body: z
    .strictObject({ overlapMinutes: z.int().min(0).max(43_200).default(1440) })
    .meta({ id: "KeyRotation" }),
  examples: { body: { overlapMinutes: 60 } },
  problems: ["conflict"],
  answers: { 201: madeAnswer },
  async handle(call) {
    const { publicId, secretHash, text: key } = makeApiKey();
    const overlap = call.body.overlapMinutes * 60_000;
    return onceInAccount(call, async (tx) => {
      const fresh = { publicId, secretHash };
      const made = await rotateKey(tx, call.caller, call.params.keyId, overlap, fresh, call.deps);
      return {
        status: 201,
        location: `/v1/api-keys/${made.id}`,
        body: { ...shownKey(made), key },
        version: made.version,
      };
    });
  },
});

const revoke = defineRoute({
  operationId: "revokeApiKey",
  method: "DELETE",
  path: "/v1/api-keys/{keyId}",
  tag: "API key",
  summary: "Revoke a key",
  description:
    "From now on the key opens nothing, nor do the short-lived keys that it made. It stays listed, with `revokedAt`.",
  access: { scope: "admin" },
  versioned: true,
  params,
  answers: { 204: { description: "Revoked." } },
  async handle(call) {
    await inAccount(call, (tx) =>
      revokeKey(tx, call.caller, call.params.keyId, call.ifMatch, call.deps),
    );
    return { status: 204 };
  },
});

export const apiKeyRoutes = [post, postShortLived, list, get, rotate, revoke];
