import type { Instant } from "../../domain/calendar/plain-date.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { futureFault } from "../../domain/meter/future-fault.ts";
import { requireRight } from "../caller.ts";
import { type Deps, eventOf } from "../deps.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Replay } from "../ports.ts";
import { type PostedReading, readingInputOf } from "../readings/reading-input.ts";
import { ImportReport, type RowFault } from "./import-report.ts";
import { concludeImport, type ImportRequest } from "./import-request.ts";
import { judgeStaged, type MachineImported } from "./judge-staged.ts";
import { VehicleNames } from "./name-vehicles.ts";
import type {
  NamedVehicle,
  ReadingsImport,
  ReadRow,
  RowSource,
  StagedReading,
  VehicleFacts,
} from "./ports.ts";

export type ReadingRow = NamedVehicle & PostedReading;

/**
 * Takes in a file of readings, all of them or none. While the file comes, its rows are set down
 * beside the readings; machines are locked, readings judged and reminders planned only when it is
 * there whole, so that a slow line holds up nobody.
 */
export function importReadings<A>(
  source: RowSource<ReadingRow>,
  request: ImportRequest<A>,
  deps: Deps,
): Promise<A | Replay> {
  const { caller } = request;
  requireRight(caller, "postReadings");
  return deps.database.imports.ofReadings(caller.accountId, async (tx) => {
    await tx.takePlace();
    const now = (await tx.clock()) ?? deps.clock();
    const report = new ImportReport();
    const named = await stageAll(tx, source, new VehicleNames(tx, caller), report, now);
    return concludeImport(
      tx,
      "readings",
      request,
      source.digest(),
      now,
      async (importId) => {
        if (named) await settleExternalIds(tx, report);
        await tx.lockStaged();
        const writes = !request.dryRun && !report.anyRefused;
        const store = writes ? tx.insert : null;
        const touched = await judgeStaged(tx, report, now, store, deps);
        if (writes) await conclude(tx, touched, importId, now, deps);
        return report;
      },
      deps,
    );
  });
}

/** Sets down the rows that can be taken, and tells of the others; whether any has an externalId. */
async function stageAll(
  tx: ReadingsImport,
  source: RowSource<ReadingRow>,
  vehicles: VehicleNames,
  report: ImportReport,
  now: Instant,
): Promise<boolean> {
  let anyNamed = false;
  let staging: Promise<void> | undefined;
  for await (const rows of source) {
    await vehicles.prepare(rows.flatMap((row) => ("value" in row ? [row.value] : [])));
    const staged: StagedReading[] = [];
    for (const row of rows) {
      const one = stagedOf(row, vehicles, now);
      if ("faults" in one) report.refuse(row.line, one.faults);
      else staged.push(one);
      anyNamed ||= "value" in row && row.value.externalId !== null;
    }
    // Set down while the next rows are read.
    await staging;
    staging = tx.stage(staged);
    staging.catch(() => {});
  }
  await staging;
  return anyNamed;
}

function stagedOf(
  row: ReadRow<ReadingRow>,
  vehicles: VehicleNames,
  now: Instant,
): StagedReading | { faults: readonly RowFault[] } {
  if ("faults" in row) return row;
  const vehicle = vehicles.find(row.value);
  if ("detail" in vehicle) return { faults: [vehicle] };
  try {
    return placed(row.line, row.value, vehicle, now);
  } catch (error) {
    return { faults: faultsOf(error) };
  }
}

function placed(
  line: number,
  posted: ReadingRow,
  vehicle: VehicleFacts,
  now: Instant,
): StagedReading | { faults: readonly RowFault[] } {
  const { at, unit } = readingInputOf(posted, vehicle, now);
  if (futureFault(at, now)) {
    const detail = "must not lie more than five minutes ahead of the service's clock";
    return { faults: [{ column: "at", detail }] };
  }
  const { meter, value, source, note, externalId } = posted;
  const given = { at: posted.at !== undefined, unit: posted.unit !== undefined };
  const own = { line, vehicleId: vehicle.id, meter, at, value, unit, source, note, externalId };
  return { ...own, given };
}

/** The faults of a refusal, each by the column that bears the field's name. */
export function faultsOf(error: unknown): RowFault[] {
  if (!(error instanceof Refusal)) throw error;
  const { failure } = error;
  if (failure.kind === "invalid") {
    return failure.errors.map((fault) => {
      const column = "pointer" in fault ? (fault.pointer.split("/")[1] ?? null) : null;
      return { column, detail: fault.detail };
    });
  }
  if (failure.kind === "conflict") return [{ column: "externalId", detail: failure.detail }];
  throw error;
}

async function settleExternalIds(tx: ReadingsImport, report: ImportReport): Promise<void> {
  for await (const rows of tx.settleExternalIds()) {
    for (const { line, readingId, differs } of rows) {
      if (differs === null) report.repeat(line, readingId);
      else {
        const detail = `is taken by a reading with another ${differs}; send the same content again, or another externalId`;
        report.refuse(line, [{ column: "externalId", detail }]);
      }
    }
  }
}

/** One event a machine tells its followers; then its reminders are planned anew, once. */
async function conclude(
  tx: ReadingsImport,
  touched: readonly MachineImported[],
  importId: string,
  now: Instant,
  deps: Deps,
): Promise<void> {
  for (const { vehicleId, recorded, held, from, to } of touched) {
    const subject = { resourceId: importId, vehicleId };
    const range = { from: new Date(from).toISOString(), to: new Date(to).toISOString() };
    const data = { recorded, held, ...range };
    const events = [eventOf(deps, now, "readings.imported", subject, data)];
    await tx.machine.write({ events }, now);
    await refreshMachine(tx, vehicleId, deps);
  }
}
