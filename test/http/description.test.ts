import { Validator } from "@seriousme/openapi-schema-validator";
import supertest from "supertest";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { describe as describeRoutes } from "../../src/http/document.ts";
import { type LampApp, lampApp } from "./support/lamp-app.ts";
import { lampRoutes } from "./support/lamps.ts";

let api: LampApp;
beforeAll(async () => {
  api = await lampApp();
});
afterAll(() => api.app.close());

describe("the description", () => {
  it("is valid OpenAPI 3.1, served without a key", async () => {
    const answer = await supertest(api.app.server).get("/openapi.json").expect(200);
    const result = await new Validator().validate(answer.body);
    expect(result.errors ?? []).toEqual([]);
    expect(answer.body.openapi).toBe("3.1.1");
  });

  it("is the same whenever it is made", () => {
    const options = {
      baseUrl: "https://api.example.org",
      description: { version: "0", tags: [] },
    };
    const text = () => JSON.stringify(describeRoutes(lampRoutes, options));
    expect(text()).toBe(text());
  });

  it("tells of each operation how to call it and all that it may answer", () => {
    const post = api.description.paths?.["/v1/lamps"]?.post;
    expect(post?.operationId).toBe("createLamp");
    expect(post?.security).toEqual([{ apiKey: ["write"] }]);
    expect(Object.keys(post?.responses ?? {})).toEqual(
      expect.arrayContaining([
        "201",
        "400",
        "401",
        "403",
        "409",
        "413",
        "415",
        "422",
        "429",
        "500",
        "503",
      ]),
    );
    expect(JSON.stringify(post?.parameters)).toContain("Idempotency-Key");
    expect(JSON.stringify(post?.responses?.["201"])).toContain("#/components/headers/ETag");
    const patch = api.description.paths?.["/v1/lamps/{lampId}"]?.patch;
    expect(JSON.stringify(patch?.parameters)).toContain("If-Match");
    expect(Object.keys(patch?.responses ?? {})).toEqual(
      expect.arrayContaining(["404", "412", "428"]),
    );
    expect(JSON.stringify(patch?.requestBody)).toContain('"watts"');
  });

  it("can be browsed from here alone", async () => {
    const page = await supertest(api.app.server).get("/docs/").redirects(1).expect(200);
    expect(page.headers["content-security-policy"]).toContain("script-src 'self'");
    expect(page.text).not.toMatch(/(src|href)="https?:/);
  });
});
