import type { FieldFault } from "../domain/failure/failure.ts";

/** The first fault and how many more there are, for whoever shows people one sentence. */
export function faultsTold([first, ...others]: readonly FieldFault[]): string {
  const told = first === undefined ? "" : `${placeOf(first)}: ${first.detail.replace(/\.$/, "")}`;
  if (others.length === 0) return `${told}.`;
  return `${told}; errors has ${others.length} more.`;
}

function placeOf(fault: FieldFault): string {
  if ("pointer" in fault) return fault.pointer.replace(/^#\/?/, "") || "the body";
  if ("parameter" in fault) return fault.parameter;
  return ("header" in fault ? fault.header : fault.column) || "the file";
}
