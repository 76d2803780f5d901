import { randomBytes } from "node:crypto";
import type { AddressInfo } from "node:net";
import { inject } from "vitest";
import type { OpenDocument } from "../../src/commands/document/open-document.ts";
import { connect } from "../../src/database/client.ts";
import { buildService, type ServiceSettings } from "../../src/service.ts";
import { freshDatabase } from "./database.ts";
import { holdToDocument } from "./from-the-document.ts";

export interface RunningService {
  baseUrl: string;
  operatorToken: string;
  ownerUrl: string;
  appUrl: string;
  signingSecret: string;
  stop(): Promise<void>;
}

/**
 * The real API on a database of its own, or on that of the service `beside` it, and a free loopback
 * port; answers are held to contract and document.
 */
export async function startService(
  settings: Partial<ServiceSettings> = {},
  beside?: RunningService,
): Promise<RunningService> {
  const database = beside ?? (await freshDatabase());
  const connections = connect(database.appUrl, { connections: 8, onBroken: () => {} });
  const operatorToken = beside?.operatorToken ?? randomBytes(24).toString("hex");
  const signingSecret = beside?.signingSecret ?? randomBytes(24).toString("hex");
  const { app, description } = await buildService(
    {
      baseUrl: "http://127.0.0.1",
      signingSecret,
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
  holdToDocument(app.server, description as unknown as OpenDocument);
  await app.listen({ host: "127.0.0.1", port: 0 });
  const { port } = app.server.address() as AddressInfo;
  return {
    baseUrl: `http://127.0.0.1:${port}`,
    operatorToken,
    signingSecret,
    ownerUrl: database.ownerUrl,
    appUrl: database.appUrl,
    async stop() {
      await app.close();
      await connections.close();
      if ("drop" in database) await database.drop();
    },
  };
}
