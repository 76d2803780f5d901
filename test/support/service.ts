import { randomBytes } from "node:crypto";
import type { AddressInfo } from "node:net";
import { inject } from "vitest";
import { connect } from "../../src/database/client.ts";
import { buildService, type ServiceSettings } from "../../src/service.ts";
import { freshDatabase } from "./database.ts";

export interface RunningService {
  baseUrl: string;
  operatorToken: string;
  ownerUrl: string;
  appUrl: string;
  stop(): Promise<void>;
}

/** The real API on a database of its own and a free loopback port; answers are held to their contract. */
export async function startService(
  settings: Partial<ServiceSettings> = {},
): Promise<RunningService> {
  const database = await freshDatabase();
  const connections = connect(database.appUrl, { connections: 8, onBroken: () => {} });
  const operatorToken = randomBytes(24).toString("hex");
  const { app } = await buildService(
    {
      baseUrl: "http://127.0.0.1",
      signingSecret: randomBytes(24).toString("hex"),
      operatorToken,
      mailFrom: { name: "Forewheel", address: "reminders@example.org" },
      rates: {
        key: { requests: 100_000, seconds: 1 },
        address: { requests: 100_000, seconds: 1 },
        refusedKeys: { requests: 100_000, seconds: 60 },
      },
      checkAnswers: true,
      threadProgram: new URL(inject("threadProgram")),
      ...settings,
    },
    connections,
    () => {},
  );
  await app.listen({ host: "127.0.0.1", port: 0 });
  const { port } = app.server.address() as AddressInfo;
  return {
    baseUrl: `http://127.0.0.1:${port}`,
    operatorToken,
    ownerUrl: database.ownerUrl,
    appUrl: database.appUrl,
    async stop() {
      await app.close();
      await connections.close();
      await database.drop();
    },
  };
}
