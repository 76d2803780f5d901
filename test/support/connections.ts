import { type Connections, connect } from "../../src/database/client.ts";
import { freshDatabase, type TestDatabase } from "./database.ts";

/** A migrated, empty database with the application's own connections to it. */
export async function connected(): Promise<{
  connections: Connections;
  database: TestDatabase;
  stop(): Promise<void>;
}> {
  const database = await freshDatabase();
  const connections = connect(database.appUrl, { connections: 6, onBroken: () => {} });
  return {
    connections,
    database,
    async stop() {
      await connections.close();
      await database.drop();
    },
  };
}
