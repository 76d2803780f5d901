import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import addFormats from "ajv-formats";
import { lookUp, type OpenDocument, type Schema } from "./open-document.ts";

/** Says what is wrong with a value by a schema of the document; empty where nothing is. */
export type SchemaCheck = (pointer: string, value: unknown) => string[];

const NAME = "document";
const MOST_TOLD = 5;

/** Compiles schemas of the document as they are asked for, by the JSON Pointer at which they stand. */
export function schemaCheck(document: OpenDocument): SchemaCheck {
  // Not strict: the document has keywords of OpenAPI's own, such as example.
  const ajv = new Ajv2020({ strict: false, allErrors: false, validateFormats: true });
  addFormats.default(ajv);
  ajv.addSchema(document, NAME);
  const compiled = new Map<string, ValidateFunction>();
  return (asked, value) => {
    const pointer = whereItStands(document, asked);
    let validate = compiled.get(pointer);
    if (validate === undefined) {
      validate = ajv.compile({ $ref: `${NAME}#${fragment(pointer)}` });
      compiled.set(pointer, validate);
    }
    if (validate(value)) return [];
    return (validate.errors ?? [])
      .slice(0, MOST_TOLD)
      .map(({ instancePath, message, params }) =>
        `${instancePath} ${message} ${JSON.stringify(params)}`.trim(),
      );
  };
}

/** Where a schema that is only a reference leads to: each is compiled once, however often it is referred to. */
function whereItStands(document: OpenDocument, pointer: string): string {
  const { $ref } = lookUp(document, pointer) as Schema;
  return $ref === undefined ? pointer : whereItStands(document, $ref.slice(1));
}

/** RFC 6901, section 6: a pointer in a URI fragment is percent-encoded. */
function fragment(pointer: string): string {
  return pointer.split("/").map(encodeURIComponent).join("/");
}
