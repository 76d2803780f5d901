import { z } from "zod";
import type { Repeatable, Replay, StoredAnswer } from "../../../src/application/ports.ts";
import { requireVersion } from "../../../src/domain/failure/expected-version.ts";
import { Refusal } from "../../../src/domain/failure/failure.ts";
import { pageAnswer, pageAsked } from "../../../src/http/lists.ts";
import { applyPatch, patchOf } from "../../../src/http/patch-body.ts";
import type { SealableAnswer } from "../../../src/http/plugins/idempotency.ts";
import { routeMaker } from "../../../src/http/route.ts";
import { id, page, pageQuery, text } from "../../../src/http/schemas/common.ts";
import { instant, instantText } from "../../../src/http/schemas/time.ts";

/** A made-up resource on which the core is tried: lamps, in memory. */
export interface Lamp {
  readonly id: string;
  readonly version: number;
  readonly name: string;
  readonly watts: number;
  readonly colour: { readonly red: number; readonly green: number } | null;
  readonly boughtAt: number;
}

export interface Lamps {
  readonly rows: Map<string, Lamp>;
  made: number;
  /** Answers kept for a repeat, by scope and key. */
  readonly kept: Kept;
}

type Kept = Map<string, { fingerprint: string; answer: StoredAnswer }>;

const defineRoute = routeMaker<Lamps>();

const lampBody = z
  .strictObject({
    name: text(40),
    watts: z.number().min(0).max(100).default(5),
    colour: z
      .strictObject({ red: z.int().min(0).max(255), green: z.int().min(0).max(255) })
      .nullable()
      .default(null),
    boughtAt: instant.default(0),
  })
  .meta({ id: "LampBody" });

const lamp = z
  .strictObject({
    id,
    name: z.string(),
    watts: z.number(),
    colour: z.strictObject({ red: z.int(), green: z.int() }).nullable(),
    boughtAt: z.string().meta({ format: "date-time" }),
    secret: z.string().optional(),
  })
  .meta({ id: "Lamp" });

const params = z.strictObject({ lampId: id });
const EXAMPLE = {
  id: "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10",
  name: "Left",
  watts: 5,
  colour: null,
  boughtAt: "2026-05-01T08:00:00.000Z",
};

/** What the database does in one transaction: keeps the answer with the work. */
function onceInMemory<A extends SealableAnswer>(
  kept: Kept,
  request: Repeatable<SealableAnswer> | null,
  work: () => A,
): A | Replay {
  if (request === null) return work();
  const place = JSON.stringify([request.scope, request.key]);
  const known = kept.get(place);
  if (known && known.fingerprint !== request.fingerprint) {
    throw new Refusal({ kind: "idempotencyMismatch" });
  }
  if (known) return { replay: known.answer };
  const answer = work();
  kept.set(place, { fingerprint: request.fingerprint, answer: request.seal(answer) });
  return answer;
}

function show(row: Lamp) {
  return {
    id: row.id,
    name: row.name,
    watts: row.watts,
    colour: row.colour,
    boughtAt: instantText(row.boughtAt),
  };
}

function lampOf(lamps: Lamps, lampId: string): Lamp {
  const row = lamps.rows.get(lampId);
  if (row === undefined) throw new Refusal({ kind: "notFound", resource: "lamp" });
  return row;
}

const create = defineRoute({
  operationId: "createLamp",
  method: "POST",
  path: "/v1/lamps",
  tag: "Lamps",
  summary: "Put up a lamp",
  description: "Makes one lamp.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  secretFields: ["/secret"],
  body: lampBody,
  examples: { body: { name: "Left", watts: 5 } },
  answers: { 201: { description: "The lamp.", schema: lamp, example: EXAMPLE } },
  handle: async ({ body, deps, idempotency }) =>
    onceInMemory(deps.kept, idempotency, () => {
      deps.made += 1;
      const lampId = `01993b1f-6f2f-7a51-b0f4-${String(deps.made).padStart(12, "0")}`;
      const row: Lamp = { id: lampId, version: 1, ...body };
      deps.rows.set(lampId, row);
      return {
        status: 201,
        version: 1,
        location: `/v1/lamps/${lampId}`,
        body: { ...show(row), secret: "shown once" },
      };
    }),
});

const list = defineRoute({
  operationId: "listLamps",
  method: "GET",
  path: "/v1/lamps",
  tag: "Lamps",
  summary: "All lamps",
  description: "In the order in which they were put up.",
  access: { scope: "read" },
  query: pageQuery.extend({ name: z.string().optional() }),
  answers: {
    200: {
      description: "A page.",
      schema: page(lamp, "LampPage"),
      example: { items: [EXAMPLE], nextCursor: null },
    },
  },
  handle: async (call) => {
    const { after, limit } = pageAsked(call);
    const all = [...call.deps.rows.values()].filter(
      (row) => call.query.name === undefined || row.name === call.query.name,
    );
    const from = after === null ? 0 : all.findIndex((row) => row.id === after.id) + 1;
    const items = all.slice(from, from + limit);
    const last = all.length > from + limit ? items.at(-1) : undefined;
    return pageAnswer(
      call,
      { items, next: last ? { key: last.boughtAt, id: last.id } : null },
      show,
    );
  },
});

const get = defineRoute({
  operationId: "getLamp",
  method: "GET",
  path: "/v1/lamps/{lampId}",
  tag: "Lamps",
  summary: "One lamp",
  description: "One lamp.",
  access: { scope: "read" },
  versioned: true,
  params,
  answers: { 200: { description: "The lamp.", schema: lamp, example: EXAMPLE } },
  handle: async ({ params, deps }) => {
    const row = lampOf(deps, params.lampId);
    return { status: 200, version: row.version, body: show(row) };
  },
});

const change = defineRoute({
  operationId: "changeLamp",
  method: "PATCH",
  path: "/v1/lamps/{lampId}",
  tag: "Lamps",
  summary: "Change a lamp",
  description: "Changes what is given.",
  access: { scope: "write" },
  versioned: true,
  params,
  body: patchOf(lampBody),
  examples: { body: { watts: 7 } },
  answers: { 200: { description: "The lamp.", schema: lamp, example: EXAMPLE } },
  handle: async ({ params, body, ifMatch, deps }) => {
    const row = lampOf(deps, params.lampId);
    requireVersion(ifMatch, row.version, "lamp");
    const { id: lampId, ...current } = show(row);
    const changed = { ...row, ...applyPatch(lampBody, current, body), version: row.version + 1 };
    deps.rows.set(lampId, changed);
    return { status: 200, version: changed.version, body: show(changed) };
  },
});

const remove = defineRoute({
  operationId: "removeLamp",
  method: "DELETE",
  path: "/v1/lamps/{lampId}",
  tag: "Lamps",
  summary: "Take a lamp down",
  description: "Removes it.",
  access: { scope: "write" },
  versioned: true,
  params,
  answers: { 204: { description: "It is gone." } },
  handle: async ({ params, ifMatch, deps }) => {
    const row = lampOf(deps, params.lampId);
    requireVersion(ifMatch, row.version, "lamp");
    deps.rows.delete(row.id);
    return { status: 204 };
  },
});

const report = defineRoute({
  operationId: "getLampReport",
  method: "GET",
  path: "/v1/lamp-report",
  tag: "Lamps",
  summary: "All lamps, as JSON or CSV",
  description: "In the form that Accept asks for.",
  access: { open: true },
  answers: {
    200: {
      description: "The report.",
      schema: z.strictObject({ lamps: z.int() }),
      example: { lamps: 2 },
      media: { "text/csv": { schema: z.string(), example: "lamps\r\n2\r\n" } },
    },
  },
  problems: ["notAcceptable"],
  handle: async ({ accepts, deps }) => {
    const type = accepts(["application/json", "text/csv"]);
    const lamps = deps.rows.size;
    return type === "text/csv"
      ? { status: 200, type, body: `lamps\r\n${lamps}\r\n` }
      : { status: 200, body: { lamps } };
  },
});

const explode = defineRoute({
  operationId: "explode",
  method: "POST",
  path: "/v1/explosions",
  tag: "Lamps",
  summary: "Fails",
  description: "Fails in a way that nobody expected, for the operator alone.",
  access: { operator: true },
  answers: { 204: { description: "It did not fail." } },
  handle: async () => {
    throw new Error("password=hunter2 in /srv/secret.ts");
  },
});

export const lampRoutes = [create, list, get, change, remove, report, explode];
