import { z } from "zod";

/** The names that an object may have at a place of a value, as far as its schema can tell. */
export function namesKnownAt(schema: z.ZodType, steps: readonly (string | number)[]): string[] {
  const [step, ...rest] = steps;
  const forms = formsOf(schema);
  if (step === undefined) {
    return [
      ...new Set(
        forms.flatMap((form) => (form instanceof z.ZodObject ? Object.keys(form.shape) : [])),
      ),
    ];
  }
  const found = forms.flatMap((form) => {
    const next = childOf(form, step);
    return next === null ? [] : namesKnownAt(next, rest);
  });
  return [...new Set(found)];
}

function childOf(form: z.ZodType, step: string | number): z.ZodType | null {
  if (form instanceof z.ZodObject) {
    const shape: Record<string, z.ZodType> = form.shape;
    return shape[step] ?? null;
  }
  if (form instanceof z.ZodArray) return form.element as z.ZodType;
  if (form instanceof z.ZodRecord) return form.valueType as z.ZodType;
  return null;
}

/** A schema without what is wrapped around it; of a union all its forms. */
function formsOf(schema: z.ZodType): z.ZodType[] {
  if (
    schema instanceof z.ZodOptional ||
    schema instanceof z.ZodNullable ||
    schema instanceof z.ZodDefault ||
    schema instanceof z.ZodPrefault ||
    schema instanceof z.ZodReadonly
  ) {
    return formsOf(schema.unwrap() as z.ZodType);
  }
  if (schema instanceof z.ZodPipe) return formsOf(schema.in as z.ZodType);
  if (schema instanceof z.ZodLazy) return formsOf(schema.unwrap() as z.ZodType);
  if (schema instanceof z.ZodUnion)
    return schema.options.flatMap((form) => formsOf(form as z.ZodType));
  if (schema instanceof z.ZodIntersection) {
    return [...formsOf(schema.def.left as z.ZodType), ...formsOf(schema.def.right as z.ZodType)];
  }
  return [schema];
}
