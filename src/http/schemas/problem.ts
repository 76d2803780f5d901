import { z } from "zod";

const fault = z
  .object({
    pointer: z.string().optional().meta({
      description: "JSON Pointer (RFC 6901) into the body, as a URI fragment.",
      example: "#/value",
    }),
    parameter: z.string().optional().meta({ description: "Parameter of the path or the query." }),
    header: z.string().optional().meta({ description: "Header of the request." }),
    column: z.string().optional().meta({ description: "Column of a table in the body." }),
    detail: z.string().meta({ description: "What would be right." }),
  })
  .meta({
    id: "Fault",
    description:
      "One fault: where (one of pointer, parameter, header, column), and what would be right.",
  });

/** Every failure as it goes out: RFC 9457. */
export const problem = z
  .object({
    type: z.string().meta({ format: "uri", description: "Leads to a page with cause and cure." }),
    title: z.string(),
    status: z.int().min(400).max(599),
    detail: z.string(),
    instance: z.string().meta({ description: "The X-Request-Id." }),
    errors: z.array(fault).optional(),
    limit: z.number().optional().meta({ description: "Bytes that a body may have." }),
    "violated-policies": z.array(z.string()).optional().meta({
      description: "The policies of RateLimit-Policy that were exceeded.",
    }),
  })
  .meta({ id: "Problem", description: "What went wrong (RFC 9457)." });
