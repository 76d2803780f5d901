// Runs before anything is installed: imports from node: alone.
import { spawn } from "node:child_process";
import { createInterface } from "node:readline";
import { say } from "./stages.mjs";

const GRACE_MS = 10_000;

/**
 * Looks after the parts of a run. The first part that ends unasked ends the run, and its exit
 * code is the run's.
 * @param {(name: string, code: number) => void} onCrash called once
 */
export function supervisor(onCrash) {
  /** @type {{ name: string, child: import("node:child_process").ChildProcess, ended: Promise<void> }[]} */
  const parts = [];
  let stopping = false;

  /**
   * @param {string} name shown before each of its lines
   * @param {string} script
   * @param {NodeJS.ProcessEnv} env
   */
  function start(name, script, env) {
    const child = spawn(process.execPath, ["--enable-source-maps", script], {
      env: { ...env, FOREWHEEL_PARENT: String(process.pid) },
      // Over the channel the part notices when this process is killed.
      stdio: ["ignore", "pipe", "pipe", "ipc"],
      // Ctrl-C reaches a terminal's whole group; the parts are told once, and in order, from here.
      detached: true,
    });
    for (const stream of [child.stdout, child.stderr]) {
      createInterface({ input: stream }).on("line", (line) => say(`${name.padEnd(7)}| ${line}`));
    }
    const ended = new Promise((resolve) => {
      child.once("error", resolve);
      child.once("exit", resolve);
    });
    ended.then(() => {
      if (stopping) return;
      stopping = true;
      const how = child.signalCode === null ? `code ${child.exitCode}` : child.signalCode;
      say(`The ${name} ended unasked with ${how}; everything is stopped.`);
      onCrash(name, child.exitCode || 1);
    });
    parts.push({ name, child, ended });
  }

  /** Asks every part to end, waits ten seconds, and then makes it. */
  async function stop() {
    stopping = true;
    for (const { child } of parts) child.kill("SIGTERM");
    const limit = setTimeout(force, GRACE_MS);
    await Promise.all(parts.map(({ ended }) => ended));
    clearTimeout(limit);
  }

  /** Ends every part at once. */
  function force() {
    stopping = true;
    for (const { name, child } of parts) {
      if (child.exitCode === null && child.signalCode === null && child.kill("SIGKILL")) {
        say(`The ${name} did not end by itself and was killed.`);
      }
    }
  }

  const pids = () => Object.fromEntries(parts.map(({ name, child }) => [name, child.pid]));
  return { start, stop, force, pids };
}
