import { readFileSync } from "node:fs";
import { Validator } from "@seriousme/openapi-schema-validator";
import { expect, test } from "vitest";
import { checkOrGenerate, writtenDescription } from "../../src/commands/openapi.ts";
import { ROUTES } from "../../src/http/routes/all.ts";

test("the committed description is the one that the routes make, byte for byte", () => {
  expect(readFileSync("openapi/openapi.json", "utf8")).toBe(writtenDescription());
});

test("it is a valid OpenAPI 3.1 document", async () => {
  const result = await new Validator().validate(JSON.parse(writtenDescription()));
  expect(result.errors ?? []).toEqual([]);
  expect(result.valid).toBe(true);
});

test("it passes the strictest preset of its linter", async () => {
  await expect(checkOrGenerate(["lint", "forewheel"])).resolves.toBeUndefined();
});

test("every operation has its own id, a summary and a description", () => {
  const ids = ROUTES.map(({ operationId }) => operationId);
  expect(new Set(ids).size).toBe(ids.length);
  for (const { operationId, summary, description } of ROUTES) {
    expect(summary.length, operationId).toBeGreaterThan(5);
    expect(description.length, operationId).toBeGreaterThan(20);
  }
});
