import type { JobView } from "../../application/views.ts";
import type { Wording } from "../wording.ts";

/** What to have ready, a row a kind; only what the task names. */
export function jobRows(words: Wording, job: JobView): Array<{ name: string; lines: string[] }> {
  const listed = (...parts: Array<string | undefined>) => parts.filter(Boolean).join(", ");
  const rows = [
    {
      name: words.say("job.time"),
      lines: job.minutes ? [words.say("figure.minutes", { minutes: job.minutes })] : [],
    },
    { name: words.say("job.access"), lines: [...(job.access ?? [])] },
    { name: words.say("job.tools"), lines: [...(job.tools ?? [])] },
    {
      name: words.say("job.parts"),
      lines: (job.parts ?? []).map(({ name, number, quantity }) => listed(name, number, quantity)),
    },
    {
      name: words.say("job.fluids"),
      lines: (job.fluids ?? []).map(({ name, grade, quantity }) => listed(name, grade, quantity)),
    },
  ];
  return rows.filter(({ lines }) => lines.length > 0);
}
