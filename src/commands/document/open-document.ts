/** A JSON Schema of dialect 2020-12, as the document has it; the keywords that are looked into. */
export interface Schema {
  readonly $ref?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
  readonly allOf?: readonly Schema[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: boolean | Schema;
  readonly propertyNames?: Schema;
  readonly items?: Schema;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly exclusiveMaximum?: number;
  readonly pattern?: string;
  readonly format?: string;
  readonly description?: string;
  readonly example?: unknown;
  readonly default?: unknown;
}

export interface Media {
  readonly schema?: Schema;
  readonly example?: unknown;
  readonly examples?: Readonly<Record<string, { readonly value: unknown }>>;
}

export interface Header {
  readonly $ref?: string;
  readonly required?: boolean;
}

export interface Parameter {
  readonly name: string;
  readonly in: "path" | "query" | "header";
  readonly required?: boolean;
  readonly description?: string;
  readonly schema: Schema;
  readonly example?: unknown;
}

export interface Response {
  readonly $ref?: string;
  readonly description: string;
  readonly headers?: Readonly<Record<string, Header>>;
  readonly content?: Readonly<Record<string, Media>>;
}

export interface OperationObject {
  readonly operationId: string;
  readonly summary: string;
  readonly description: string;
  readonly security?: readonly Readonly<Record<string, readonly string[]>>[];
  readonly parameters?: readonly Parameter[];
  readonly requestBody?: {
    readonly required?: boolean;
    readonly content: Readonly<Record<string, Media>>;
  };
  readonly responses: Readonly<Record<string, Response>>;
}

/** The OpenAPI 3.1 document of this API, as JSON gives it. */
export interface OpenDocument {
  readonly info: { readonly version: string };
  readonly paths: Readonly<Record<string, Readonly<Record<string, OperationObject>>>>;
  readonly webhooks?: Readonly<Record<string, Readonly<Record<string, OperationObject>>>>;
  readonly components: {
    readonly schemas: Readonly<Record<string, Schema>>;
    readonly headers?: Readonly<Record<string, Header>>;
  };
}

/** One operation with where it is found. */
export interface Operation extends OperationObject {
  /** In capitals. */
  readonly method: string;
  /** With parameters in braces. */
  readonly path: string;
  /** JSON Pointer to it in the document. */
  readonly pointer: string;
}

export function operationsOf(document: OpenDocument): Operation[] {
  return Object.entries(document.paths).flatMap(([path, item]) =>
    Object.entries(item).map(([method, operation]) => ({
      ...operation,
      method: method.toUpperCase(),
      path,
      pointer: `/paths/${escapePointer(path)}/${method}`,
    })),
  );
}

/** One step of a JSON Pointer (RFC 6901). */
export function escapePointer(step: string): string {
  return step.replaceAll("~", "~0").replaceAll("/", "~1");
}

/** The very thing that a `$ref` into the same document leads to. */
export function resolve<T extends { readonly $ref?: string }>(document: OpenDocument, one: T): T {
  return one.$ref === undefined ? one : resolve(document, lookUp(document, one.$ref.slice(1)) as T);
}

/** What stands at a JSON Pointer. @throws Error where nothing does */
export function lookUp(document: OpenDocument, pointer: string): unknown {
  let found: unknown = document;
  for (const step of pointer.split("/").slice(1)) {
    const name = step.replaceAll("~1", "/").replaceAll("~0", "~");
    found = (found as Record<string, unknown> | undefined)?.[name];
  }
  if (found === undefined) throw new Error(`The document has nothing at ${pointer}`);
  return found;
}

/** Whether a body of that media type, without parameters, is one JSON value (RFC 6839 for +json). */
export function isJson(essence: string): boolean {
  return essence === "application/json" || essence.endsWith("+json");
}

/** The media type alone, without its parameters. */
export function essenceOf(contentType: string): string {
  return (contentType.split(";", 1)[0] ?? "").trim().toLowerCase();
}
