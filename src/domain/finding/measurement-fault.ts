import { isLengthUnit, toTicks } from "./exact.ts";
import { type Measurement, type MeasuringPoint, type Quantity, unitOf } from "./point.ts";

/** What is wrong with a point or a measurement: where (JSON Pointer inside it), and what would be right. */
export interface Fault {
  pointer: string;
  detail: string;
}

/** A reversed lead reads negative, and so does suction on a gauge; nothing else can. */
const MAY_BE_NEGATIVE: readonly Quantity[] = ["voltage", "pressure"];

/** What keeps a measurement from being judged at this point; null where nothing does. */
export function measurementFault(point: MeasuringPoint, found: Measurement): Fault | null {
  if ("stated" in found) return null;
  if ("look" in found) {
    return point.method === "look" ? null : wrongKind(point, "/look");
  }
  if ("value" in found) {
    if (point.method !== "value") return wrongKind(point, "/value");
    const ok = found.value >= 0 || MAY_BE_NEGATIVE.includes(point.quantity);
    return ok ? null : { pointer: "/value", detail: `a ${point.quantity} is 0 or more` };
  }
  const given = found.goes ?? found.refuses;
  if (point.method !== "feeler") return wrongKind(point, wherePair(found));
  if (given === undefined) {
    return {
      pointer: "",
      detail:
        "give goes (the thickest leaf that passes), refuses (the thinnest that does not), or both",
    };
  }
  return pairFault(found, unitOf(point));
}

/** What keeps a point from being measured at: limits or leaves that contradict themselves. */
export function pointFault(point: MeasuringPoint): Fault | null {
  const unit = unitOf(point);
  const feeler = point.method === "feeler";
  if (feeler && !isLengthUnit(unit)) {
    return { pointer: "/unit", detail: "a feeler measures a length: mm or in" };
  }
  const bad = (point.leaves ?? []).findIndex((leaf) => !(leaf > 0));
  if (bad >= 0) return { pointer: `/leaves/${bad}`, detail: "a leaf is thicker than 0 mm" };
  if (point.lower === undefined || point.upper === undefined) return null;
  const room = toTicks(point.upper, unit) - toTicks(point.lower, unit);
  if (room < 0) return { pointer: "/upper", detail: "the upper limit is not below the lower one" };
  if (room === 0 && feeler) {
    return {
      pointer: "/upper",
      detail: "the upper limit is above the lower one: one leaf cannot both go in and refuse",
    };
  }
  return null;
}

function pairFault(
  found: { goes?: number | undefined; refuses?: number | undefined },
  unit: string,
): Fault | null {
  const { goes, refuses } = found;
  if (goes !== undefined && !(goes >= 0)) {
    return { pointer: "/goes", detail: "a leaf that goes is 0 or thicker" };
  }
  if (refuses !== undefined && !(toTicks(refuses, unit) > 0)) {
    return { pointer: "/refuses", detail: "a leaf that refuses is thicker than 0" };
  }
  if (goes === undefined || refuses === undefined) return null;
  if (toTicks(goes, unit) < toTicks(refuses, unit)) return null;
  return {
    pointer: "/goes",
    detail: `the leaf that goes is thinner than the one that refuses (${refuses} ${unit}); a leaf that had to be forced did not go in`,
  };
}

function wrongKind(point: MeasuringPoint, pointer: string): Fault {
  const right = {
    value: "measured as { value }",
    feeler: "measured with feeler leaves, as { goes, refuses }",
    look: "judged by a look, as { look: sound, watch or replace }",
  }[point.method];
  return { pointer, detail: `this point is ${right}; { stated: true } fits any point` };
}

function wherePair(found: { goes?: number | undefined; refuses?: number | undefined }): string {
  if (found.goes !== undefined) return "/goes";
  return found.refuses === undefined ? "" : "/refuses";
}
