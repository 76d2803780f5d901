import { z } from "zod";
import { requireRight, rightOf } from "../../application/caller.ts";
import { findOrRefuse } from "../../application/find-or-refuse.ts";
import { addMember, changeMember, removeMember } from "../../application/people.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { exampleMember } from "../examples.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { applyPatch, patchOf } from "../patch-body.ts";
import { shownMember, writableMember } from "../present/people.ts";
import { id, page } from "../schemas/common.ts";
import { member, memberBody, memberList } from "../schemas/people.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";

const params = z.strictObject({ memberId: id });
const shown = { description: "The member.", schema: member, example: exampleMember };

const post = defineRoute({
  operationId: "addMember",
  method: "POST",
  path: "/v1/members",
  tag: "Member",
  summary: "Add a member",
  description:
    "Adds a person to the account. A key with `admin` vouches for the address; otherwise one mail asks its owner to confirm it before reminders go there. The same externalId with the same content answers 200 with the member that is there.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  body: memberBody,
  examples: { body: { name: exampleMember.name, email: exampleMember.email, role: "mechanic" } },
  problems: ["conflict"],
  answers: { 201: shown, 200: { ...shown, description: "It was there already." } },
  async handle(call) {
    const { body, caller, deps } = call;
    return onceInAccount(call, async (tx) => {
      const { member: added, isNew } = await addMember(tx, caller, body, body, deps);
      return {
        status: isNew ? 201 : 200,
        location: `/v1/members/${added.id}`,
        body: shownMember(added),
        version: added.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listMembers",
  method: "GET",
  path: "/v1/members",
  tag: "Member",
  summary: "List members",
  description:
    "Members, newest first, on (createdAt, id). Riders and mechanics see only themselves, and a key that is bound to vehicles nobody but its member.",
  access: { scope: "read" },
  query: memberList,
  answers: {
    200: {
      description: "A page of members.",
      schema: page(member, "MemberPage"),
      example: { items: [exampleMember], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, ...wanted } = call.query;
    const { memberId } = call.caller;
    const self = memberId === undefined ? [] : [memberId];
    const ids = rightOf(call.caller, "invite") === "no" ? self : undefined;
    const found = await inAccount(call, (tx) =>
      tx.members.list({ ...wanted, ids }, pageAsked(call)),
    );
    return pageAnswer(call, found, shownMember);
  },
});

const get = defineRoute({
  operationId: "getMember",
  method: "GET",
  path: "/v1/members/{memberId}",
  tag: "Member",
  summary: "One member",
  description: "One person of the account.",
  access: { scope: "read" },
  versioned: true,
  params,
  answers: { 200: shown },
  async handle(call) {
    const found = await inAccount(call, (tx) =>
      findOrRefuse(tx.members, call.params.memberId, "member"),
    );
    if (found.id !== call.caller.memberId && rightOf(call.caller, "invite") === "no") {
      throw new Refusal({ kind: "notFound", resource: "member" });
    }
    return { status: 200, body: shownMember(found), version: found.version };
  },
});

const patch = defineRoute({
  operationId: "changeMember",
  method: "PATCH",
  path: "/v1/members/{memberId}",
  tag: "Member",
  summary: "Change a member",
  description:
    "Changes a member by a merge patch (RFC 7396). Reminders are planned anew with the new lead, hour, days and zone.",
  access: { scope: "write" },
  versioned: true,
  params,
  body: patchOf(memberBody),
  examples: { body: { reminders: { leadDays: 30 } } },
  problems: ["conflict"],
  answers: { 200: shown },
  async handle(call) {
    const { caller, ifMatch, params: path, body, deps } = call;
    const written = await inAccount(call, (tx) =>
      changeMember(
        tx,
        caller,
        path.memberId,
        ifMatch,
        (now) => applyPatch(memberBody, writableMember(now), body),
        deps,
      ),
    );
    return { status: 200, body: shownMember(written), version: written.version };
  },
});

const remove = defineRoute({
  operationId: "removeMember",
  method: "DELETE",
  path: "/v1/members/{memberId}",
  tag: "Member",
  summary: "Remove a member",
  description: "Removes a member who is responsible for no vehicle. The owner stays.",
  access: { scope: "write" },
  versioned: true,
  params,
  problems: ["conflict"],
  answers: { 204: { description: "Removed." } },
  async handle(call) {
    requireRight(call.caller, "invite");
    await inAccount(call, (tx) =>
      removeMember(tx, call.caller, call.params.memberId, call.ifMatch, call.deps),
    );
    return { status: 204 };
  },
});

export const memberRoutes = [post, list, get, patch, remove];
