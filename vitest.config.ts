import { defineConfig } from "vitest/config";

/** Tests that need PostgreSQL, and Redis where it can be had; the others start in no time. */
const WITH_SERVICES = [
  "test/{acceptance,application,bench,database,faults,outbound,support,workers}/**/*.test.ts",
];

export default defineConfig({
  test: {
    testTimeout: 30_000,
    hookTimeout: 120_000,
    projects: [
      {
        extends: true,
        test: { name: "alone", include: ["test/**/*.test.ts"], exclude: WITH_SERVICES },
      },
      {
        extends: true,
        test: {
          name: "services",
          include: WITH_SERVICES,
          globalSetup: ["test/support/global-setup.ts"],
        },
      },
    ],
  },
});
