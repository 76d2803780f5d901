import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { VERSION } from "../../src/version.ts";
import type { Json } from "../support/client.ts";
import { operationsOf, whatBreaks } from "./support/what-breaks.ts";

const read = (path: string): Json => JSON.parse(readFileSync(path, "utf8"));
const CURRENT = read("openapi/openapi.json");
const RELEASED = readdirSync("openapi/released").map((name) => name.replace(/\.json$/, ""));

describe("a client that was written by an earlier document", () => {
  test.each(RELEASED)("keeps working: %s", async (version) => {
    expect(await whatBreaks(read(`openapi/released/${version}.json`), CURRENT)).toEqual([]);
  });

  test("has the document of its version as it was released", () => {
    // Whatever changes the document after its release gets a version of its own first.
    if (RELEASED.includes(VERSION)) {
      expect(CURRENT).toEqual(read(`openapi/released/${VERSION}.json`));
    }
    expect(RELEASED).not.toEqual([]);
  });
});

/** Changes that break a client, each with a piece of what has to be said of it. */
const BREAKING: [what: string, change: (document: Json) => void, said: string][] = [
  ["an operation goes", ({ paths }) => delete paths["/v1/workload"], "workload"],
  [
    "a parameter goes",
    (document) => change(document, "listDue", (list) => list.parameters.splice(0, 1)),
    "v1~1due/get/parameters",
  ],
  [
    "a parameter is asked for",
    (document) =>
      change(document, "listImports", ({ parameters }) =>
        parameters.push({ name: "new", in: "query", required: true, schema: { type: "string" } }),
      ),
    "v1~1imports/get/parameters",
  ],
  [
    "a field is asked for",
    ({ components }) => components.schemas.VehicleBody.required.push("notes"),
    "became required: `notes`",
  ],
  [
    "a field is no longer taken",
    ({ components }) => delete components.schemas.MemberBody.properties.unit,
    "unit",
  ],
  [
    "a field takes less",
    ({ components }) => {
      components.schemas.ScheduleBody.properties.name.maxLength = 3;
    },
    "maxLength",
  ],
  [
    "a field goes out of an answer",
    ({ components }) => delete components.schemas.Reading.properties.status,
    "status",
  ],
  [
    "a field of an answer may be null",
    ({ components }) => {
      components.schemas.Task.properties.title = { type: ["string", "null"] };
    },
    "title",
  ],
  [
    "a field of an answer may be null, told the other way",
    ({ components }) => {
      const { properties } = components.schemas.Reading;
      properties.value = { anyOf: [properties.value, { type: "null" }] };
    },
    "Type of `value` widened",
  ],
  [
    "an answer has another status",
    (document) =>
      change(document, "logWork", ({ responses }) => {
        responses[202] = responses[201];
        delete responses[201];
      }),
    "Response `201` became `202`",
  ],
  [
    "an answer has another media type",
    (document) =>
      change(document, "getServiceHistory", ({ responses }) => {
        delete responses[200].content["text/csv"];
      }),
    "text~1csv",
  ],
  [
    "more rights are needed",
    (document) =>
      change(document, "listVehicles", (list) => {
        list.security = [{ apiKey: ["admin"] }];
      }),
    "v1~1vehicles/get",
  ],
  [
    "a header goes",
    (document) =>
      change(document, "getVehicle", ({ responses }) => {
        delete responses[200].headers.ETag;
      }),
    "headers/ETag",
  ],
  ["a webhook goes", ({ webhooks }) => delete webhooks["task.due"], "task.due"],
  [
    "a problem goes",
    ({ components }) => {
      components.responses.NotAcceptable.content["application/problem+json"].examples = {};
    },
    "/problems/not-acceptable is gone",
  ],
];

const HARMLESS: ((document: Json) => void)[] = [
  ({ components }) => {
    components.schemas.Vehicle.properties.colour = { type: "string" };
    components.schemas.Vehicle.required.push("colour");
    components.schemas.VehicleBody.properties.colour = { type: "string" };
    const { properties } = components.schemas.VehicleBody;
    properties.name.maxLength = 1000;
    properties.meterUnit = { anyOf: [properties.meterUnit, { type: "null" }] };
    properties.kind.enum.push("sidecar");
  },
  (document) =>
    change(document, "listVehicles", ({ parameters }) =>
      parameters.unshift({ name: "colour", in: "query", schema: { type: "string" } }),
    ),
  (document) => {
    document.paths["/v1/colours"] = {
      get: { ...structuredClone(operation(document, "getWorkload")), operationId: "listColours" },
    };
  },
];

describe("the comparison", () => {
  test("sees whatever breaks a client", async () => {
    const later = structuredClone(CURRENT);
    for (const [, change] of BREAKING) change(later);
    const said = await whatBreaks(CURRENT, later);
    const unseen = BREAKING.filter(([, , piece]) => !said.some((line) => line.includes(piece)));
    expect(
      unseen.map(([what]) => what),
      said.join("\n"),
    ).toEqual([]);
  });

  test("and nothing in what is added", async () => {
    const later = structuredClone(CURRENT);
    for (const change of HARMLESS) change(later);
    expect(await whatBreaks(CURRENT, later)).toEqual([]);
  });
});

function operation(document: Json, id: string): Json {
  return operationsOf(document).find(({ operationId }) => operationId === id);
}

function change(document: Json, id: string, how: (operation: Json) => void): void {
  how(operation(document, id));
}
