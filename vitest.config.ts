import { defineConfig } from "vitest/config";

/** Tests that need PostgreSQL, and Redis where it can be had; the others start in no time. */
const WITH_SERVICES = [
  "test/{acceptance,application,bench,database,docs,faults,outbound,support,workers}/**/*.test.ts",
];
/** Faults that last: `npm run test:faults` runs them, `npm test` does not. */
const LONG = ["test/faults/long/**/*.test.ts"];
const ANSWERS = "test/support/answers-report-setup.ts";
const SERVICES = ["test/support/global-setup.ts", "test/faults/support/report-setup.ts", ANSWERS];

export default defineConfig({
  test: {
    testTimeout: 30_000,
    hookTimeout: 120_000,
    setupFiles: ["test/support/from-the-document-setup.ts"],
    projects: [
      {
        extends: true,
        test: {
          name: "alone",
          include: ["test/**/*.test.ts"],
          exclude: WITH_SERVICES,
          globalSetup: [ANSWERS],
        },
      },
      {
        extends: true,
        test: {
          name: "services",
          include: WITH_SERVICES,
          exclude: LONG,
          globalSetup: SERVICES,
        },
      },
      {
        extends: true,
        test: {
          name: "faults",
          include: LONG,
          globalSetup: SERVICES,
          testTimeout: 300_000,
        },
      },
    ],
  },
});
