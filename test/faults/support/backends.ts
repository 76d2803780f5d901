import { hasRedisProgram } from "../../support/redis.ts";

export type Backend = "postgresql" | "redis";

/** The queues that faults are brought about over; Redis is left out where it is not installed. */
export const BACKENDS: readonly Backend[] = hasRedisProgram()
  ? ["postgresql", "redis"]
  : ["postgresql"];
