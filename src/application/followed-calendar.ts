import type { Told } from "../domain/reminder/tell.ts";
import type { KnownTask, Machine } from "./ports.ts";
import type { CalendarFeed, Vehicle } from "./records.ts";

/** What a calendar shows: tasks that followers were told a day of, by machine. */
export interface FollowedCalendar {
  name: string;
  /** Of the member whose calendar it is, else of the owner. */
  locale: string;
  zone: string;
  machines: FollowedMachine[];
}

export interface FollowedMachine extends Pick<Machine, "meterChanges" | "firstTotals"> {
  vehicle: Pick<Vehicle, "name" | "meterUnit" | "inServiceOn" | "updatedAt">;
  /** Of the member who looks after it: its plain dates are dates there. */
  zone: string;
  tasks: FollowedTask[];
}

export type FollowedTask = Pick<
  KnownTask,
  "id" | "title" | "cautions" | "plan" | "statedWork" | "logged" | "updatedAt"
> & { told: Told };

/**
 * Reads a calendar of an account in one statement; null where there is none, or none any more under
 * that secret number.
 */
export type FindFollowedCalendar = (
  accountId: string,
  feed: Pick<CalendarFeed, "id" | "secretNumber">,
) => Promise<FollowedCalendar | null>;
