import { APP } from "./app.ts";
import { DASHBOARD } from "./dashboard.ts";
import { EVENTS } from "./events.ts";
import { FLEET } from "./fleet.ts";
import type { Guide } from "./guide.ts";
import { OFFLINE } from "./offline.ts";
import { PHONE } from "./phone.ts";
import { SANDBOX } from "./sandbox.ts";

/** Every guide, in the order in which a newcomer needs them. */
export const GUIDES: readonly Guide[] = [APP, PHONE, DASHBOARD, OFFLINE, EVENTS, SANDBOX, FLEET];
