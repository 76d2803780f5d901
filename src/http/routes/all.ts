import type { Route } from "../route.ts";
import type { Services } from "../services.ts";
import { accountRoutes } from "./account.ts";
import { apiKeyRoutes } from "./api-keys.ts";
import { calendarFeedRoutes } from "./calendar-feeds.ts";
import { calendarRoutes } from "./calendars.ts";
import { deletedAccountRoutes } from "./deleted-accounts.ts";
import { dueRoutes } from "./due.ts";
import { eventRoutes } from "./events.ts";
import { exportRoutes } from "./exports.ts";
import { forecastRoutes } from "./forecasts.ts";
import { importRoutes } from "./imports.ts";
import { judgementRoutes } from "./judgements.ts";
import { layUpRoutes } from "./lay-ups.ts";
import { machineForecastRoutes } from "./machine-forecast.ts";
import { memberRoutes } from "./members.ts";
import { messageRoutes } from "./messages.ts";
import { meterChangeRoutes } from "./meter-changes.ts";
import { readingBatchRoutes } from "./reading-batch.ts";
import { readingRoutes } from "./readings.ts";
import { reminderRoutes } from "./reminders.ts";
import { scheduleRoutes } from "./schedules.ts";
import { serviceHistoryRoutes } from "./service-history.ts";
import { taskRoutes } from "./tasks.ts";
import { vehicleRoutes } from "./vehicles.ts";
import { webhookEndpointRoutes } from "./webhook-endpoints.ts";
import { workRecordRoutes } from "./work-records.ts";

/** Every operation of the API: what is served and what is described. */
export const ROUTES: readonly Route<Services>[] = [
  ...accountRoutes,
  ...deletedAccountRoutes,
  ...memberRoutes,
  ...apiKeyRoutes,
  ...vehicleRoutes,
  ...layUpRoutes,
  ...meterChangeRoutes,
  ...readingRoutes,
  ...readingBatchRoutes,
  ...taskRoutes,
  ...scheduleRoutes,
  ...workRecordRoutes,
  ...serviceHistoryRoutes,
  ...judgementRoutes,
  ...machineForecastRoutes,
  ...dueRoutes,
  ...forecastRoutes,
  ...reminderRoutes,
  ...messageRoutes,
  ...calendarFeedRoutes,
  ...webhookEndpointRoutes,
  ...calendarRoutes,
  ...importRoutes,
  ...exportRoutes,
  ...eventRoutes,
];
