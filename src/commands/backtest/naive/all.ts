import type { Method } from "../method.ts";
import { BOOTSTRAP } from "./bootstrap.ts";
import { EWMA } from "./ewma.ts";
import { GAMMA_PROCESS } from "./gamma-process.ts";
import { KALMAN } from "./kalman.ts";
import { LAST_TWO } from "./last-two.ts";
import { OVERALL_AVERAGE } from "./overall-average.ts";
import { TRAILING_WINDOW } from "./trailing-window.ts";
import { TWO_SPEED } from "./two-speed.ts";

/** What a good engineer would write first, from the plainest on: the table compares with them. */
export const NAIVE_METHODS: readonly Method[] = [
  LAST_TWO,
  OVERALL_AVERAGE,
  TRAILING_WINDOW,
  EWMA,
  KALMAN,
  BOOTSTRAP,
  GAMMA_PROCESS,
  TWO_SPEED,
];
