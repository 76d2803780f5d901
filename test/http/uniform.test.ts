import { describe, expect, test } from "vitest";
import { z } from "zod";
import { describe as described } from "../../src/http/document.ts";
import { problemsOf } from "../../src/http/document-answers.ts";
import type { Route } from "../../src/http/route.ts";
import { ROUTES } from "../../src/http/routes/all.ts";
import { ownRoutes } from "../../src/http/routes/own.ts";

/** What holds of every operation, now and later; the exceptions stand here, each with its reason. */
const EXCEPT = {
  /** POST that stores nothing, or that is the same thing done again. */
  keepsNothing: new Set(["forecast", "judge", "moveClock"]),
  /** A log has no single items to ask for: each says where its resource is. */
  listsWithoutSingles: new Set(["listEvents"]),
  /** Where `to` is no end of a span: the instant to which a clock is moved. */
  notASpan: new Set(["/ClockMove/properties/to"]),
  /** Answers several things at once, each with an ETag of its own. */
  several: new Set(["createAccount"]),
};

type AnyRoute = Route<never>;
const ROUTES_OF_RESOURCES = ROUTES as readonly AnyRoute[];
const ALL: readonly AnyRoute[] = [
  ...ROUTES_OF_RESOURCES,
  ...(ownRoutes("https://api.example.org", ROUTES) as readonly AnyRoute[]),
];

const named = (routes: readonly AnyRoute[]) =>
  routes.map((route) => [`${route.method} ${route.path}`, route] as const);

const isList = ({ query }: AnyRoute) => query !== undefined && "cursor" in query.shape;
const LISTS = ROUTES_OF_RESOURCES.filter(isList);
const POSTS = ROUTES_OF_RESOURCES.filter(({ method }) => method === "POST");

/** The fields of a body or an answer; none where it is no object. */
function fieldsOf(schema: z.ZodType | undefined): Record<string, z.ZodType> {
  return schema instanceof z.ZodObject ? (schema.shape as Record<string, z.ZodType>) : {};
}

function itemOf(list: AnyRoute): Record<string, z.ZodType> {
  const { items } = fieldsOf(list.answers[200]?.schema);
  return items instanceof z.ZodArray ? fieldsOf(items.element as z.ZodType) : {};
}

const filtersOf = (list: AnyRoute) => Object.keys(list.query?.shape ?? {});

describe.each(named(ALL))("%s", (_name, route) => {
  test("has a name, a summary and a description of plain sentences", () => {
    expect(route.operationId).toMatch(/^[a-z][A-Za-z]+$/);
    expect(route.summary).toMatch(/^[A-Z].{4,70}[^.!?]$/);
    expect(route.description).toMatch(/^[A-Z][^!]{20,}[.]$/);
    expect(ALL.filter(({ operationId }) => operationId === route.operationId)).toHaveLength(1);
  });

  test("has a path of small letters, whose parameters its contract describes", () => {
    expect(route.path).toMatch(
      /^(?:\/(?:[a-z0-9]+(?:[-.][a-z]+)*|\{[a-z][A-Za-z]*\}(?:\.[a-z]+)?))+$/,
    );
    const inPath = [...route.path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
    expect(Object.keys(route.params?.shape ?? {}).sort()).toEqual(inPath.toSorted());
  });

  test("shows what it takes and what it answers by examples that hold", () => {
    if (route.body !== undefined) {
      expect(route.examples?.body, "example of the body").toBeDefined();
      expect(route.body.safeParse(route.examples?.body).error).toBeUndefined();
    }
    for (const [status, { schema, example, media = {} }] of Object.entries(route.answers)) {
      const bodies = [...(schema ? [{ schema, example }] : []), ...Object.values(media)];
      for (const body of bodies) {
        expect(body.example, `example of ${status}`).toBeDefined();
        expect(body.schema.safeParse(body.example).error, status).toBeUndefined();
      }
    }
  });

  test("names each problem once, and none that follows from its contract", () => {
    const own = route.problems ?? [];
    const implied = problemsOf({ ...route, problems: [] });
    expect(own.filter((kind) => implied.includes(kind))).toEqual([]);
    expect(new Set(own).size).toBe(own.length);
  });
});

describe.each(named(LISTS))("the list %s", (_name, list) => {
  const item = itemOf(list);
  const filters = filtersOf(list);

  test("comes in pages, and says in which order", () => {
    expect(filters).toEqual(expect.arrayContaining(["limit", "cursor"]));
    const { items, nextCursor } = fieldsOf(list.answers[200]?.schema);
    expect(items).toBeInstanceOf(z.ZodArray);
    expect(nextCursor).toBeDefined();
    expect(list.description).toMatch(
      /\b(newest|latest|latest planned|oldest) first\b|in the order/,
    );
  });

  test("takes the filters that fit", () => {
    const fit = ["externalId", "status", "state", "meter"].filter((name) => name in item);
    if (list.params === undefined) {
      const about = ["vehicleId", "memberId", "endpointId", "scheduleId"];
      fit.push(...[...about, "responsibleMemberId"].filter((name) => name in item));
    }
    if ("updatedAt" in item) fit.push("updatedAfter");
    const order = /\bon \((\w+), id\)/.exec(list.description)?.[1] ?? "createdAt";
    if (order !== "createdAt") fit.push("from", "to");
    expect(filters).toEqual(expect.arrayContaining(fit));
  });

  test("shows items that can be asked for one by one, with their ETag", () => {
    expect(Object.keys(item).length).toBeGreaterThan(2);
    if (EXCEPT.listsWithoutSingles.has(list.operationId) || !("id" in item)) return;
    const single = ROUTES_OF_RESOURCES.find(
      ({ method, path }) =>
        method === "GET" &&
        path.startsWith(`${list.path}/{`) &&
        path.split("/").length === list.path.split("/").length + 1,
    );
    expect(single?.versioned, `GET ${list.path}/{id}`).toBeDefined();
    expect(Object.keys(item)).toEqual(expect.arrayContaining(["id", "createdAt", "updatedAt"]));
  });
});

describe.each(named(POSTS))("%s", (_name, post) => {
  const answered = Object.entries(post.answers);

  test("may be repeated under an Idempotency-Key where it keeps something", () => {
    const keeps = !EXCEPT.keepsNothing.has(post.operationId);
    expect(post.creates).toBe(keeps ? "folded" : undefined);
  });

  test("answers a stored thing with its ETag", () => {
    const shown = answered.some(([, { schema }]) => {
      const fields = fieldsOf(schema);
      return "id" in fields && "updatedAt" in fields;
    });
    if (shown) expect(post.versioned).toBeDefined();
    if (EXCEPT.several.has(post.operationId)) expect(post.versioned).toBeUndefined();
  });

  test("knows a caller's own id again: 201, then 200, or 409 for another thing", () => {
    const makes = post.path.match(/\/[a-z-]+$/) && post.answers[201] !== undefined;
    if (!makes || !("externalId" in fieldsOf(post.body))) return;
    expect(Object.keys(post.answers)).toEqual(["200", "201"]);
    expect(post.problems).toContain("conflict");
  });
});

describe.each(
  named(ROUTES_OF_RESOURCES.filter(({ method }) => method === "PATCH" || method === "DELETE")),
)("%s", (_name, change) => {
  test("needs If-Match, and answers the thing as it stands or nothing", () => {
    expect(change.versioned).toBeDefined();
    if (change.method === "PATCH") expect(Object.keys(change.answers)).toEqual(["200"]);
    expect(change.path).toMatch(/\}$|^\/v1\/account$/);
  });

  test("is refused where it would give an externalId that another has", () => {
    const made = POSTS.find(({ path }) => path === change.path.replace(/\/\{\w+\}$/, ""));
    if (change.method === "PATCH" && "externalId" in fieldsOf(made?.body)) {
      expect(change.problems).toContain("conflict");
    }
  });
});

describe("the resources of a caller", () => {
  test.each([
    "/v1/vehicles",
    "/v1/members",
    "/v1/schedules",
    "/v1/vehicles/{vehicleId}/readings",
    "/v1/vehicles/{vehicleId}/work-records",
  ])("%s take the caller's own id", (path) => {
    const of = (method: string) =>
      ROUTES_OF_RESOURCES.find((route) => route.method === method && route.path === path);
    expect(Object.keys(fieldsOf(of("POST")?.body))).toContain("externalId");
    expect(filtersOf(of("GET") as AnyRoute)).toContain("externalId");
  });

  test("are read with `read` or `admin`, and changed with more than `read`", () => {
    for (const { method, access, operationId } of ROUTES_OF_RESOURCES) {
      if (!("scope" in access)) continue;
      const reads = method === "GET" || EXCEPT.keepsNothing.has(operationId);
      expect(["read", "admin"].includes(access.scope), operationId).toBe(
        reads || access.scope === "admin",
      );
    }
  });
});

describe("the names of fields", () => {
  const document = described(ALL, {
    baseUrl: "https://api.example.org",
    description: { version: "0", tags: [] },
  });
  const fields = fieldsIn(document.components?.schemas, "");

  test("say of what kind a moment is: an instant, or a plain date", () => {
    const wrong = fields.flatMap(({ where, name, schema }) => {
      const wanted = formatByName(name);
      const text = JSON.stringify(schema);
      const either = name === "doneAt" && !text.includes('"format"');
      return wanted === null ||
        either ||
        EXCEPT.notASpan.has(where) ||
        text.includes(`"format":"${wanted}"`)
        ? []
        : [where];
    });
    expect(fields.length).toBeGreaterThan(300);
    expect(wrong).toEqual([]);
  });

  test("are written in camelCase, but for what a standard names", () => {
    const odd = fields.filter(({ name }) => !/^[a-z][A-Za-z0-9]*$/.test(name));
    expect(odd.map(({ name }) => name)).toEqual(["violated-policies"]);
  });

  test("that end in Id hold an id", () => {
    const wrong = fields.filter(
      ({ name, schema }) =>
        /[a-z]Id$/.test(name) &&
        name !== "externalId" &&
        !/"format":"uuid"/.test(JSON.stringify(schema)),
    );
    expect(wrong.map(({ where }) => where)).toEqual([]);
  });
});

/** `at` and what ends in At is an instant; `on`, `from`, `to` and what ends in On a plain date. */
function formatByName(name: string): string | null {
  if (/^at$|[a-z]At$/.test(name)) return "date-time";
  return /^(?:on|from|to)$|[a-z]On$/.test(name) ? "date" : null;
}

interface Field {
  where: string;
  name: string;
  schema: unknown;
}

/** Every property of every schema below the value. */
function fieldsIn(value: unknown, where: string): Field[] {
  if (typeof value !== "object" || value === null) return [];
  return Object.entries(value).flatMap(([key, part]) => {
    const place = `${where}/${key}`;
    const isMap = key === "properties" && !where.endsWith("/properties");
    const own = isMap
      ? Object.entries(part as object).map(([name, schema]) => ({
          where: `${place}/${name}`,
          name,
          schema: schema as unknown,
        }))
      : [];
    return [...own, ...(key === "example" || key === "examples" ? [] : fieldsIn(part, place))];
  });
}
