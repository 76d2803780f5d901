import type { Route } from "../route.ts";
import { alarmRoutes } from "./alarm-page.ts";
import { guideRoutes } from "./guide-pages.ts";
import { type OperationServices, operationRoutes } from "./operation.ts";
import { problemPageRoutes } from "./problem-pages.ts";
import { securityRoutes } from "./security-page.ts";

/** Routes that the API has beside its resources: for whoever runs it, and pages that explain. */
export function ownRoutes(
  baseUrl: string,
  resources: readonly Route<never>[],
): readonly Route<OperationServices>[] {
  return [
    ...operationRoutes,
    ...alarmRoutes,
    ...securityRoutes,
    ...guideRoutes,
    ...problemPageRoutes(baseUrl, resources),
  ];
}
