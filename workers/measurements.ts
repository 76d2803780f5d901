import { Counter, Gauge, Histogram, Registry } from "prom-client";
import type { Channel, Health } from "../src/application/outbox-ports.ts";

/** What an attempt came to, of any channel. */
export interface Attempted {
  result: string;
  /** Handed over although it may have been handed over before. */
  repeated: boolean;
  lagMs: number;
}

export interface Measurements {
  readonly registry: Registry;
  /** All of it in the text format that Prometheus reads. */
  text(): Promise<string>;
  attempted(channel: Channel, report: Attempted): void;
  ticked(seconds: number): void;
  fault(): void;
}

const CHANNELS = ["mail", "webhook"] as const;

/**
 * What the worker's `/metrics` tells. Counters are this process's own; the gauges are read from the
 * database when they are asked for, and are the same whichever worker is asked.
 */
export function measurements(
  health: () => Promise<Health>,
  clock: () => number = Date.now,
): Measurements {
  const registry = new Registry();
  const registers = [registry];
  const attempts = new Counter({
    name: "forewheel_attempts_total",
    help: "Attempts to send a message, by channel and what came of them.",
    labelNames: ["channel", "result"],
    registers,
  });
  const repeated = new Counter({
    name: "forewheel_repeated_total",
    help: "Messages handed over again because the outcome before was lost.",
    labelNames: ["channel"],
    registers,
  });
  const lag = new Histogram({
    name: "forewheel_lag_seconds",
    help: "From the moment a message was made to the moment it was sent.",
    labelNames: ["channel"],
    buckets: [0.5, 1, 2, 5, 10, 30, 60, 300, 1800, 7200, 86_400],
    registers,
  });
  const ticks = new Histogram({
    name: "forewheel_tick_seconds",
    help: "How long one beat of the worker took.",
    buckets: [0.005, 0.02, 0.05, 0.1, 0.5, 1, 5, 30, 120],
    registers,
  });
  const faults = new Counter({
    name: "forewheel_faults_total",
    help: "Errors that the worker went on after; its log has them.",
    registers,
  });
  for (const channel of CHANNELS) repeated.inc({ channel }, 0);
  const look = healthGauges(registry, health, clock);
  return {
    registry,
    async text() {
      await look();
      return registry.metrics();
    },
    attempted(channel, { result, repeated: again, lagMs }) {
      if (result === "notClaimed") return;
      attempts.inc({ channel, result });
      if (again) repeated.inc({ channel });
      if (result === "sent") lag.observe({ channel }, lagMs / 1000);
    },
    ticked: (seconds) => ticks.observe(seconds),
    fault: () => faults.inc(),
  };
}

/** The gauges, and the one look at the database that fills all of them. */
function healthGauges(
  registry: Registry,
  health: () => Promise<Health>,
  clock: () => number,
): () => Promise<void> {
  const gauge = <L extends string>(name: string, help: string, labelNames: L[] = []) =>
    new Gauge({ name: `forewheel_${name}`, help, labelNames, registers: [registry] });
  const waiting = gauge("waiting_messages", "Messages that are due and not sent.", ["channel"]);
  const oldest = gauge(
    "oldest_unsent_seconds",
    "How long the message that has been due longest has been due.",
    ["channel"],
  );
  const unknown = gauge("unknown_messages", "Messages whose outcome was lost.");
  const overlooked = gauge(
    "overlooked_reminders",
    "Reminders whose hour passed ten minutes ago and that are in no message.",
  );
  const unplanned = gauge(
    "unplanned_machines",
    "Machines that should have been planned again ten minutes ago.",
  );
  const relay = gauge("mail_server_down", "1 while the mail server cannot be reached.");
  const hold = gauge("on_hold", "1 while nothing is sent because the database is a restored copy.");
  const audit = gauge("audit_age_seconds", "Since the last daily audit ended.");
  const found = gauge("audit_overlooked", "Reminders that the last audit found overlooked.");
  const answers = gauge(
    "database_answers",
    "1 where the database answered when these figures were asked for.",
  );
  const show = (now: Health) => {
    for (const channel of CHANNELS) {
      waiting.set({ channel }, now.channels[channel].waiting);
      oldest.set({ channel }, now.channels[channel].oldestMs / 1000);
    }
    unknown.set(now.unknown);
    overlooked.set(now.overlooked);
    unplanned.set(now.toReplan);
    relay.set(Number(now.relayDown));
    hold.set(Number(now.onHold));
    audit.set(now.auditedAt === null ? Number.NaN : (clock() - now.auditedAt) / 1000);
    found.set(now.auditFound ?? 0);
  };
  return async () => {
    const now = await health().catch(() => null);
    if (now) show(now);
    answers.set(Number(now !== null));
  };
}
