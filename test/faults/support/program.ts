import { spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { inject } from "vitest";

/** A compiled program that runs as a process of its own. */
export interface Program {
  readonly pid: number;
  /** Settles with the exit code, or with the signal that ended it. */
  readonly ended: Promise<number | NodeJS.Signals>;
  readonly isRunning: boolean;
  signal(name: NodeJS.Signals): void;
  /** What it has written to standard output and error, the last megabyte of it. */
  output(): string;
  /** Resident memory in MB. */
  memory(): number;
}

const KEPT_OUTPUT = 1_000_000;

/** Starts one by its path below the compiled folder; it ends by itself when this process does. */
export function startProgram(
  path: string,
  env: Record<string, string>,
  args: readonly string[] = [],
): Program {
  const child = spawn(process.execPath, [join(inject("programs"), path), ...args], {
    env: { PATH: process.env.PATH ?? "", FOREWHEEL_PARENT: "1", ...env },
    stdio: ["ignore", "pipe", "pipe", "ipc"],
  });
  const pid = child.pid;
  if (pid === undefined) throw new Error(`${path} could not be started.`);
  let output = "";
  for (const stream of [child.stdout, child.stderr]) {
    stream?.on("data", (chunk: Buffer) => {
      output = (output + chunk.toString()).slice(-KEPT_OUTPUT);
    });
  }
  return {
    pid,
    ended: once(child, "exit").then(([code, signal]) => (code ?? signal) as number),
    get isRunning() {
      return child.exitCode === null && child.signalCode === null;
    },
    signal: (name) => void child.kill(name),
    output: () => output,
    memory: () => Number(/VmRSS:\s+(\d+)/.exec(statusOf(pid))?.[1] ?? 0) / 1024,
  };
}

/** @throws Error with the last that it wrote, where one has ended */
export function requireRunning(...programs: readonly Program[]): void {
  for (const program of programs) {
    if (!program.isRunning) throw new Error(`It has ended: ${program.output().slice(-2000)}`);
  }
}

function statusOf(pid: number): string {
  try {
    return readFileSync(`/proc/${pid}/status`, "utf8");
  } catch {
    return "";
  }
}
