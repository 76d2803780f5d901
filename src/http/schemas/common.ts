import { z } from "zod";
import { instant, instantOrDate } from "./time.ts";

const EXAMPLE_ID = "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10";

/** An id that the server made; capitals are taken, and made small. */
export const id = z
  .string()
  .regex(
    /^[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}$/,
    "must be an id as the API answered it, a UUID",
  )
  .toLowerCase()
  .meta({ format: "uuid", example: EXAMPLE_ID });

/** A text of one line or several that is not blank. */
export function text(longest: number) {
  return z
    .string()
    .max(longest)
    .refine((value) => value.trim() !== "", "must not be blank");
}

/** The caller's own id, unique per account and resource. */
export const externalId = z
  .string()
  .regex(
    /^\S(?:.{0,198}\S)?$/u,
    "must be 1 to 200 characters on one line, without spaces at its ends",
  )
  .meta({ example: "tour-17", description: "The caller's own id." });

export const distanceUnit = z.enum(["km", "mi"]);

/** An amount of a currency: the amount a decimal, never a binary fraction. */
export const money = z
  .strictObject({
    amount: z
      .string()
      .regex(/^(?:0|[1-9]\d{0,11})(?:\.\d{1,4})?$/, 'must be a decimal in a text, such as "12.50"')
      .meta({ example: "12.50" }),
    currency: z
      .string()
      .refine(isCurrency, "must be the three letters of a currency (ISO 4217), such as EUR")
      .meta({ example: "EUR" }),
  })
  .meta({ id: "Money", description: "An amount of money, its currency by ISO 4217." });

const CURRENCIES = new Set(Intl.supportedValuesOf("currency"));

function isCurrency(code: string): boolean {
  return CURRENCIES.has(code);
}

/** A language by BCP 47, made its canonical form. */
export const locale = z
  .string()
  .max(35)
  .transform((tag, context) => {
    try {
      const [canonical] = Intl.getCanonicalLocales(tag);
      if (canonical !== undefined) return canonical;
    } catch {
      // Told below, as any other text that is no tag.
    }
    context.addIssue({ code: "custom", message: "must be a language tag (BCP 47), such as en-GB" });
    return z.NEVER;
  })
  .meta({
    override: { type: "string", maxLength: 35, description: "Language tag (BCP 47)." },
    example: "en-GB",
  });

export const email = z.email().max(254).meta({ example: "rider@example.org" });

/** A number in a query, written in digits. */
export function queryInteger(least: number, most: number) {
  return z
    .string()
    .regex(/^\d{1,9}$/, `must be a whole number from ${least} to ${most}`)
    .transform(Number)
    .refine((n) => n >= least && n <= most, `must be a whole number from ${least} to ${most}`)
    .meta({ override: { type: "integer", minimum: least, maximum: most } });
}

/** The parameters of every list; filters are added by `extend`. */
export const pageQuery = z.strictObject({
  limit: queryInteger(1, 200)
    .default(50)
    .meta({
      override: { type: "integer", minimum: 1, maximum: 200, default: 50 },
      description: "How many items a page has at most.",
    }),
  cursor: z.string().min(1).max(500).optional().meta({
    description: "The nextCursor of the page before.",
  }),
});

/** The filter of lists whose items can change: what was made or changed since. */
export const updatedAfter = instant.optional().meta({
  description: "Only what was made or changed after this instant.",
});

/** The filters of lists that are ordered by an instant; `spanIn` reads them. */
export const span = {
  from: instantOrDate.optional().meta({
    description: "Only what lies at or after this instant, or from this date on.",
    example: "2026-05-01",
  }),
  to: instantOrDate.optional().meta({
    description: "Only what lies before this instant, or up to the end of this date.",
    example: "2026-05-31",
  }),
};

/** A page of a list. */
export function page<T extends z.ZodType>(item: T, componentId: string) {
  return z
    .strictObject({
      items: z.array(item),
      nextCursor: z
        .string()
        .nullable()
        .meta({ description: "Leads to the next page; null on the last." }),
    })
    .meta({ id: componentId });
}

/** What refuses nothing, and yet deserves a look. */
export const warnings = z
  .array(z.strictObject({ code: z.string(), detail: z.string(), pointer: z.string().optional() }))
  .meta({ description: "What refuses nothing and yet deserves a look." });

const months = z.int().min(1).max(1200);

/** Handbooks print rounded pairs; the vehicle's meter unit says which figure counts. */
const distanceLimit = z.union([
  z.number().positive().max(10_000_000),
  z
    .strictObject({
      km: z.number().positive().max(10_000_000).optional(),
      mi: z.number().positive().max(10_000_000).optional(),
    })
    .refine(({ km, mi }) => km !== undefined || mi !== undefined, "must have km, mi or both"),
]);

/** An interval's limits: at least one of them. */
export const limits = z
  .strictObject({
    distance: distanceLimit.optional(),
    months: months.optional(),
    hours: z.number().positive().max(1_000_000).optional(),
  })
  .refine(
    (value) => Object.values(value).some((limit) => limit !== undefined),
    "must have at least one of distance, months and hours",
  )
  .meta({
    id: "Limits",
    description: "Distance in the vehicle's unit or as a printed pair, months, engine hours.",
  });
