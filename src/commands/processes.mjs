// Runs before anything is installed: imports from node: alone.
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { Refusal, ROOT, say } from "./stages.mjs";

// A process number is given out again, so each is noted with what tells its owner from a later one.
const FILE = join(ROOT, ".local", "processes.json");

/**
 * When a process began and what it runs; undefined where it has ended.
 * @param {number} pid
 * @returns {string | undefined}
 */
export function identify(pid) {
  const stat = `/proc/${pid}/stat`;
  if (existsSync("/proc/self/stat")) {
    try {
      const fields = readFileSync(stat, "utf8")
        .replace(/^.*\) /s, "")
        .split(" ");
      if (fields[0] === "Z" || fields[0] === "X") return undefined;
      const command = readFileSync(`/proc/${pid}/cmdline`, "utf8").replaceAll("\0", " ").trim();
      return `${fields[19]} ${command}`;
    } catch {
      return undefined;
    }
  }
  const ps = spawnSync("ps", ["-ww", "-o", "lstart=,command=", "-p", String(pid)], {
    encoding: "utf8",
  });
  return ps.stdout?.trim() || undefined;
}

/**
 * Notes the processes of this run.
 * @param {Record<string, number>} pids by name
 */
export function noteProcesses(pids) {
  const noted = Object.entries({ up: process.pid, ...pids }).map(([name, pid]) => ({
    name,
    pid,
    identity: identify(pid),
  }));
  const note = { parent: process.ppid, parentIdentity: identify(process.ppid), noted };
  writeFileSync(FILE, `${JSON.stringify(note, null, 2)}\n`, { mode: 0o600 });
}

/** Forgets the processes of this run, which have all ended. */
export function forgetProcesses() {
  rmSync(FILE, { force: true });
}

/**
 * Stops what a killed run has left. Refuses where a run of this folder is alive and in somebody's
 * hands.
 */
export async function stopLeftovers() {
  if (!existsSync(FILE)) return;
  const note = readNote();
  const alive = note.noted.filter(isStill);
  const up = alive.find(({ name }) => name === "up");
  if (up !== undefined && identify(note.parent) === note.parentIdentity) {
    throw new Refusal(
      `Forewheel already runs from this folder as process ${up.pid}: stop it with Ctrl-C, or with kill ${up.pid}.`,
    );
  }
  // The one that looks after the others goes first, so that it can stop them in its own order.
  for (const left of alive.sort((a, b) => Number(b.name === "up") - Number(a.name === "up"))) {
    if (!isStill(left)) continue;
    say(`An earlier run left ${left.name} behind as process ${left.pid}: it is stopped first.`);
    await stop(left);
  }
  forgetProcesses();
}

function readNote() {
  try {
    return JSON.parse(readFileSync(FILE, "utf8"));
  } catch {
    // Cut off by a full disk or a crash: it names nobody any more.
    return { noted: [] };
  }
}

function isStill({ pid, identity }) {
  return identity !== undefined && identify(pid) === identity;
}

async function stop(left) {
  for (const [signal, limit] of [
    ["SIGTERM", 15_000],
    ["SIGKILL", 5000],
  ]) {
    try {
      process.kill(left.pid, signal);
    } catch {
      return;
    }
    const end = Date.now() + limit;
    while (Date.now() < end) {
      if (!isStill(left)) return;
      await sleep(50);
    }
  }
}
