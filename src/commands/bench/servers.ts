import type { AddressInfo } from "node:net";
import Fastify, { type FastifyInstance } from "fastify";
import { type Connections, connect } from "../../database/client.ts";
import { clientStatement } from "../../database/client-transaction.ts";
import { findPresentedKey } from "../../database/keys.ts";
import { hashesEqual, hashSecret, parseApiKey } from "../../http/api-key.ts";
import { readingBody } from "../../http/schemas/reading.ts";
import { buildService } from "../../service.ts";

export type ServerName = "bare" | "guarded" | "product";

const PLENTY = { requests: 10_000_000, seconds: 1 };
/** Rows in the list that is compared. */
export const LISTED = 50;
/** What the product asks for to list the readings of a machine, of a copy that all may read. */
const LIST = `select * from bench_listed where vehicle_id = $1
  order by at desc, id desc limit ${LISTED + 1}`;
const INSERT = "insert into bench_reading (account_id, at, value) values ($1, $2, $3)";

/** Starts one of the three servers that are compared; answers its port. */
export async function startServer(name: ServerName, appUrl: string): Promise<number> {
  const connections = connect(appUrl, { connections: 8, onBroken: () => {} });
  const app = await appOf(name, connections);
  await app.listen({ host: "127.0.0.1", port: 0 });
  return (app.server.address() as AddressInfo).port;
}

async function appOf(name: ServerName, connections: Connections): Promise<FastifyInstance> {
  if (name === "bare") return bare(connections);
  if (name === "guarded") return guarded(connections);
  const { app } = await buildService(
    {
      baseUrl: "http://127.0.0.1",
      signingSecret: "bench".repeat(8),
      operatorToken: "bench".repeat(8),
      mailFrom: { name: "Bench", address: "bench@example.org" },
      rates: { key: PLENTY, address: PLENTY, refusedKeys: PLENTY },
    },
    connections,
    () => {},
  );
  return app;
}

/** One prepared statement behind a route, and nothing else. */
function bare({ pool }: Connections): FastifyInstance {
  const app = Fastify();
  app.get("/*", async (request) => {
    const { vehicleId } = request.query as { vehicleId: string };
    const { rows } = await pool.query({ name: "bench-list", text: LIST, values: [vehicleId] });
    return { items: rows.slice(0, LISTED), nextCursor: null };
  });
  app.post("/*", async (request, reply) => {
    const { value } = request.body as { value: number };
    const values = [null, new Date(), value];
    await pool.query({ name: "bench-insert", text: INSERT, values });
    return reply.code(201).send({ value });
  });
  return app;
}

/** The same with key, zod in and out, and forced row-level security in a transaction: two waits. */
function guarded(connections: Connections): FastifyInstance {
  const app = Fastify();
  app.post("/*", async (request, reply) => {
    const token = String(request.headers.authorization).slice("Bearer ".length);
    const parsed = parseApiKey(token);
    if (!parsed) return reply.code(401).send();
    const secretHash = hashSecret(parsed.secret);
    const asked = {
      publicId: parsed.publicId,
      secretHash,
      address: "",
      origin: null,
      quotas: null,
    };
    const { key } = await findPresentedKey(connections, asked);
    if (!key || !hashesEqual(secretHash, key.secretHash)) return reply.code(401).send();
    const body = readingBody.parse(request.body);
    const values = [key.accountId, new Date(), body.value];
    const statement = { name: "bench-insert", text: INSERT, values };
    await clientStatement(connections.pool, { "forewheel.account": key.accountId }, statement);
    return reply.code(201).send(readingBody.pick({ value: true }).parse({ value: body.value }));
  });
  return app;
}
