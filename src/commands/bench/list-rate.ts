import type pg from "pg";
import { type Measured, type Shot, shoot } from "./load.ts";
import { LISTED } from "./servers.ts";

const ROUNDS = 3;
const LOAD = { connections: 8, seconds: 3 };
const WARM_UP = { connections: 8, seconds: 1 };

export type ListRounds = Record<"bare" | "product", Measured[]>;

/** Readings of one machine, a page of fifty, by the product and by a bare server, in turns. */
export async function listRounds(
  ports: Record<"bare" | "product", number>,
  key: string,
  owner: pg.Client,
): Promise<ListRounds> {
  const { rows } = await owner.query<{ id: string }>(
    "select id from vehicle where external_id = 'import-1'",
  );
  const vehicleId = String(rows[0]?.id);
  await owner.query(`create table bench_listed as select * from reading;
    create index on bench_listed (vehicle_id, at desc, id desc);
    grant select on bench_listed to forewheel_app`);
  await owner.query("vacuum (analyze)");
  const headers = { authorization: `Bearer ${key}` };
  const shots: Record<"bare" | "product", () => Shot> = {
    bare: () => ({ path: `/?vehicleId=${vehicleId}`, headers }),
    product: () => ({ path: `/v1/vehicles/${vehicleId}/readings?limit=${LISTED}`, headers }),
  };
  const rounds: ListRounds = { bare: [], product: [] };
  for (const name of ["bare", "product"] as const) await shoot(ports[name], shots[name], WARM_UP);
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const name of ["bare", "product"] as const) {
      rounds[name].push(await shoot(ports[name], shots[name], LOAD));
    }
  }
  return rounds;
}
