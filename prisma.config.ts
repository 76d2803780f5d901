import { defineConfig } from "prisma/config";

// Generating the client needs no schema engine, yet the command line insists on finding one and
// would download it. Migrations are applied by src/commands/migrate.ts with the engine's
// WebAssembly build from the package registry.
process.env.PRISMA_SCHEMA_ENGINE_BINARY ??= process.execPath;

export default defineConfig({
  schema: "prisma/schema.prisma",
  migrations: { path: "prisma/migrations" },
});
