import type { FastifyRequest } from "fastify";
import { z } from "zod";
import { type FieldFault, Refusal } from "../domain/failure/failure.ts";
import { pointer } from "../domain/failure/pointer.ts";
import { faultsOf, type SchemaFault } from "./field-faults.ts";
import type { Route } from "./route.ts";
import { mediaTypesTaken } from "./route.ts";
import { unsoundParts, unsoundText } from "./soundness.ts";
import { WireRefusal } from "./wire-failure.ts";

/** What came with a request, as its contract's schemas made it. */
export interface RequestParts {
  readonly params: unknown;
  readonly query: unknown;
  readonly body: unknown;
}

const NOTHING = z.strictObject({});

/**
 * Checks path, query and body. Faults of query and body are told together.
 * @throws Refusal invalid, or notFound when the path cannot name anything
 * @throws WireRefusal unsupportedMediaType, unknownPath
 */
export function readRequest(route: Route<never>, request: FastifyRequest): RequestParts {
  const params = readPath(route, request.params);
  const query = readQuery(route, request.query);
  const body = readBody(route, request);
  const errors = [...query.errors, ...body.errors];
  if (errors.length > 0) throw new Refusal({ kind: "invalid", errors });
  return { params, query: query.value, body: body.value };
}

/** What came of reading a part of a request; without errors, its value is of use. */
export interface Read {
  readonly value: unknown;
  readonly errors: readonly FieldFault[];
}

/** An id that cannot be one names nothing, and is answered as any id that names nothing. */
function readPath(route: Route<never>, params: unknown): unknown {
  if (route.params === undefined) return undefined;
  // The router takes nothing at all for a parameter, where a path ends with a slash.
  if (Object.values(params as object).includes("")) throw new WireRefusal({ kind: "unknownPath" });
  const { value, errors } = readParameters(route.params, params);
  if (errors.length > 0) {
    const resource = "open" in route.access ? "page" : route.tag.toLowerCase();
    throw new Refusal({ kind: "notFound", resource, errors });
  }
  return value;
}

export function readQuery(route: Route<never>, query: unknown): Read {
  const read = readParameters(route.query ?? NOTHING, query);
  return route.query === undefined ? { value: undefined, errors: read.errors } : read;
}

function readParameters(schema: z.ZodType, parameters: unknown): Read {
  const unsound = Object.entries(parameters as Record<string, unknown>).flatMap(
    ([name, value]): FieldFault[] => {
      if (Array.isArray(value)) return [{ parameter: name, detail: "must be given only once" }];
      const detail = unsoundText(`${name}${String(value)}`);
      return detail === null ? [] : [{ parameter: name, detail }];
    },
  );
  if (unsound.length > 0) return { value: undefined, errors: unsound };
  return parsed(schema, parameters, ({ steps, detail }) => ({
    parameter: steps.join("."),
    detail,
  }));
}

function readBody(route: Route<never>, request: FastifyRequest): Read {
  if (route.takes !== undefined) {
    const accepted = mediaTypesTaken(route);
    requireMediaType(request, accepted);
    // Neither a type nor a body came, and a file is never left out.
    if (request.body == null) throw new WireRefusal({ kind: "unsupportedMediaType", accepted });
    return { value: undefined, errors: [] };
  }
  const given: unknown = request.body;
  if (route.body === undefined) {
    const empty = given === undefined || given === null || route.method === "DELETE";
    return empty ? { value: undefined, errors: [] } : checkedBody(NOTHING, given);
  }
  requireMediaType(request, mediaTypesTaken(route));
  return checkedBody(route.body, given === undefined ? {} : given);
}

/** @throws WireRefusal unsupportedMediaType */
export function requireMediaType(request: FastifyRequest, accepted: readonly string[]): void {
  const field = request.headers["content-type"];
  if (field === undefined && request.body == null) return;
  const essence = field?.split(";", 1)[0]?.trim().toLowerCase() ?? "";
  if (!accepted.includes(essence))
    throw new WireRefusal({ kind: "unsupportedMediaType", accepted });
}

/** A body against what no field may hold, then against its schema. */
export function checkedBody(schema: z.ZodType, value: unknown): Read {
  const unsound = unsoundParts(value);
  return unsound.length > 0 ? { value: undefined, errors: unsound } : parseBody(schema, value);
}

/** A body against its schema, faults as pointers. */
function parseBody(schema: z.ZodType, value: unknown): Read {
  return parsed(schema, value, ({ steps, detail }) => ({ pointer: pointer(...steps), detail }));
}

export function parsed(
  schema: z.ZodType,
  value: unknown,
  place: (fault: SchemaFault) => FieldFault,
): Read {
  const result = schema.safeParse(value, { reportInput: false });
  if (result.success) return { value: result.data, errors: [] };
  return { value: undefined, errors: faultsOf(result.error, schema, value).map(place) };
}

/**
 * A value against a schema, outside of a request's own reading: the whole that a merge patch makes,
 * for example.
 * @throws Refusal invalid
 */
export function requireBody<S extends z.ZodType>(schema: S, value: unknown): z.output<S> {
  const read = parseBody(schema, value);
  if (read.errors.length > 0) throw new Refusal({ kind: "invalid", errors: read.errors });
  return read.value as z.output<S>;
}
