import { afterAll, afterEach, expect } from "vitest";
import { reportSeen, takeBreaches } from "./from-the-document.ts";

// In every test file: an answer that the document does not have fails the test in which it was given.
afterEach(() => {
  expect(takeBreaches(), "answers that are not as the document says").toEqual([]);
});

afterAll(() => {
  reportSeen(expect.getState().testPath ?? "");
  expect(takeBreaches(), "answers that are not as the document says").toEqual([]);
});
