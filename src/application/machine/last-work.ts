import type { LastWork } from "../../domain/interval/task-plan.ts";
import type { KnownTask } from "../ports.ts";

/**
 * When the task was last done: what was logged, or what its owner stated when the task was entered,
 * whichever is later. A stated reading sets the due point and is no reading of the meter.
 */
export function lastWorkOf({
  logged,
  statedWork,
}: Pick<KnownTask, "logged" | "statedWork">): LastWork {
  if (typeof statedWork === "object" && (!logged || statedWork.on > logged.on)) {
    const { on, reading, hours } = statedWork;
    return {
      state: "done",
      on,
      ...(reading !== undefined && { distance: reading }),
      ...(hours !== undefined && { hours }),
    };
  }
  if (!logged) return { state: statedWork === "never" ? "never" : "unknown" };
  return {
    state: "done",
    on: logged.on,
    recordId: logged.recordId,
    ...(logged.distance !== null && { distance: logged.distance }),
    ...(logged.hours !== null && { hours: logged.hours }),
    ...(logged.madeOn !== null && { madeOn: logged.madeOn }),
  };
}
