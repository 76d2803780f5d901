import type { Registry } from "prom-client";
import { z } from "zod";
import { Refusal } from "../../domain/failure/failure.ts";
import { routeMaker } from "../route.ts";

export interface OperationServices {
  ready(): Promise<boolean>;
  readonly registry: Registry;
}

const defineRoute = routeMaker<OperationServices>();
const state = z.strictObject({ status: z.literal("ok") }).meta({ id: "ServiceState" });

const livez = defineRoute({
  operationId: "getLiveness",
  method: "GET",
  path: "/livez",
  tag: "Operation",
  summary: "Whether the process runs",
  description:
    "Answers without asking anything else. A process that does not answer is to be restarted.",
  access: { open: true },
  unlimited: true,
  answers: { 200: { description: "It runs.", schema: state, example: { status: "ok" } } },
  handle: async () => ({ status: 200, body: { status: "ok" } }),
});

const readyz = defineRoute({
  operationId: "getReadiness",
  method: "GET",
  path: "/readyz",
  tag: "Operation",
  summary: "Whether requests can be sent here",
  description:
    "Answers 503 while the database is away, and from the moment on at which the process begins to stop.",
  access: { open: true },
  unlimited: true,
  answers: { 200: { description: "It is ready.", schema: state, example: { status: "ok" } } },
  handle: async ({ deps }) => {
    if (!(await deps.ready())) throw new Refusal({ kind: "unavailable", retryAfter: 5 });
    return { status: 200, body: { status: "ok" } };
  },
});

const metrics = defineRoute({
  operationId: "getMetrics",
  method: "GET",
  path: "/metrics",
  tag: "Operation",
  summary: "Measurements of the process",
  description:
    "Counts and times by operation, in the text format that Prometheus reads. Delivery is measured by the worker, on a port of its own.",
  access: { open: true },
  unlimited: true,
  answers: {
    200: {
      description: "The measurements.",
      media: {
        "text/plain": {
          schema: z.string(),
          example: 'http_request_duration_seconds_count{operation="getLiveness",status="200"} 3\n',
        },
      },
    },
  },
  handle: async ({ deps }) => ({
    status: 200,
    type: deps.registry.contentType,
    body: await deps.registry.metrics(),
  }),
});

export const operationRoutes = [livez, readyz, metrics];
