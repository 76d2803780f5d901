import { Refusal } from "../../domain/failure/failure.ts";
import { judge } from "../../domain/finding/judge.ts";
import { measurementFault } from "../../domain/finding/measurement-fault.ts";
import type { Measurement, MeasuringPoint } from "../../domain/finding/point.ts";
import { whySentence } from "../../domain/finding/why-sentence.ts";
import type { KnownTask } from "../ports.ts";
import type { Condition, Finding, JudgedMeasurement, StoredPoint } from "../records.ts";

export interface FindingInput {
  /** Id or name of a measuring point of one of the tasks. */
  point: string;
  asFound: Measurement;
  asLeft?: Measurement | undefined;
  condition?: Condition | undefined;
  note?: string | undefined;
}

interface FieldFault {
  pointer: string;
  detail: string;
}

/**
 * Judges what was measured against the limits of its points, as found and as left.
 * @throws Refusal invalid, with every fault of every finding at once
 */
export function judgeFindings(
  inputs: readonly FindingInput[],
  tasks: readonly KnownTask[],
): Finding[] {
  const faults: FieldFault[] = [];
  const findings = inputs.flatMap((input, index) => {
    const at = `#/findings/${index}`;
    const found = pointOf(input.point, tasks);
    if (typeof found === "string") {
      faults.push({ pointer: `${at}/point`, detail: found });
      return [];
    }
    const own = faultsOf(found.point, input, at);
    faults.push(...own);
    return own.length > 0 ? [] : [findingOf(found, input)];
  });
  if (faults.length > 0) throw new Refusal({ kind: "invalid", errors: faults });
  return findings;
}

export function judged(
  point: MeasuringPoint,
  found: Measurement,
  leaves?: readonly number[],
): JudgedMeasurement {
  const { verdict, tryLeaf, why } = judge(point, found, leaves);
  return { verdict, ...(tryLeaf !== undefined && { tryLeaf }), why: whySentence(why) };
}

interface PointOfTask {
  point: StoredPoint;
  taskId: string;
}

/** The point by id or by name; a sentence that names the points there are where it is not one. */
function pointOf(wanted: string, tasks: readonly KnownTask[]): PointOfTask | string {
  const all = tasks.flatMap((task) => task.points.map((point) => ({ point, taskId: task.id })));
  const byId = all.find(({ point }) => point.id === wanted);
  if (byId) return byId;
  const named = all.filter(({ point }) => point.name === wanted);
  if (named.length === 1 && named[0]) return named[0];
  if (named.length > 1) {
    return `names ${named.length} points; use the id of one: ${named.map(({ point }) => point.id).join(", ")}`;
  }
  const names = all.map(({ point }) => `"${point.name}"`);
  return names.length === 0
    ? "the tasks in taskIds have no measuring points"
    : `must be the id or the name of a measuring point of the tasks in taskIds: ${names.join(", ")}`;
}

function faultsOf(point: StoredPoint, input: FindingInput, at: string): FieldFault[] {
  const faults: FieldFault[] = [];
  for (const when of ["asFound", "asLeft"] as const) {
    const measurement = input[when];
    const fault = measurement && measurementFault(point, measurement);
    if (fault) faults.push({ pointer: `${at}/${when}${fault.pointer}`, detail: fault.detail });
  }
  return faults;
}

function findingOf({ point, taskId }: PointOfTask, input: FindingInput): Finding {
  const { asFound, asLeft, condition, note } = input;
  return {
    taskId,
    point,
    asFound,
    judged: judged(point, asFound),
    ...(asLeft && { asLeft, judgedAsLeft: judged(point, asLeft) }),
    ...(condition && { condition }),
    ...(note !== undefined && { note }),
  };
}
