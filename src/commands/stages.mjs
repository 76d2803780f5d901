// Runs before anything is installed: imports from node: alone.
import { spawn } from "node:child_process";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** The folder that holds package.json. */
export const ROOT = join(dirname(fileURLToPath(import.meta.url)), "..", "..");

/** Ends a command with its sentence and nothing else. */
export class Refusal extends Error {
  /**
   * @param {string} sentence
   * @param {number} code exit code
   */
  constructor(sentence, code = 1) {
    super(sentence);
    this.code = code;
  }
}

/** @param {string} line */
export function say(line) {
  process.stdout.write(`${line}\n`);
}

const SIGN_OF_LIFE_MS = 5000;

/**
 * Does one stage of a command and says how long it took; a long silence is broken every five
 * seconds.
 * @template T
 * @param {string} name
 * @param {() => Promise<T> | T} work
 * @param {() => string} [detail] what there is to see of the work so far
 * @returns {Promise<T>}
 */
export async function stage(name, work, detail = () => "") {
  const begun = Date.now();
  const seconds = () => `${((Date.now() - begun) / 1000).toFixed(1)} s`;
  say(`- ${name} ...`);
  const life = setInterval(() => say(`  still ${name}, ${seconds()}${detail()}`), SIGN_OF_LIFE_MS);
  try {
    const result = await work();
    say(`  done in ${seconds()}`);
    return result;
  } finally {
    clearInterval(life);
  }
}

/** Child processes that a stopped command must not leave behind. */
const running = new Set();

/** Ends the programs that `run` is waiting for. */
export function stopRunning() {
  for (const child of running) child.kill("SIGTERM");
}

/**
 * Runs a program to its end and gives back what it wrote to standard output. With `show` its
 * output goes to the terminal as it comes; without, it is shown only when the program fails.
 * @param {string} command
 * @param {string[]} args
 * @param {{ env?: NodeJS.ProcessEnv, show?: boolean, name?: string }} [options]
 * @returns {Promise<string>}
 */
export function run(command, args, { env = process.env, show = false, name = command } = {}) {
  const stdio = show ? "inherit" : ["ignore", "pipe", "pipe"];
  const child = spawn(command, args, { cwd: ROOT, env, stdio });
  running.add(child);
  let output = "";
  let everything = "";
  child.stdout?.on("data", (chunk) => {
    output += chunk;
    everything += chunk;
  });
  child.stderr?.on("data", (chunk) => {
    everything += chunk;
  });
  return new Promise((resolve, reject) => {
    child.once("error", (error) => {
      running.delete(child);
      reject(new Refusal(`${name} cannot be started: ${error.message}`));
    });
    child.once("close", (code, signal) => {
      running.delete(child);
      if (code === 0) return resolve(output);
      const end = everything.trim();
      const how = code === null ? `was ended by ${signal}` : `ended with code ${code}`;
      reject(new Refusal(`${end}${end === "" ? "" : "\n"}${name} ${how}.`, code ?? 1));
    });
  });
}

/**
 * Runs a program of the installed packages with this very Node.
 * @param {string} script below node_modules
 * @param {string[]} args
 * @param {{ env?: NodeJS.ProcessEnv, show?: boolean, name?: string }} [options]
 */
export function runInstalled(script, args, options) {
  return run(process.execPath, [join(ROOT, "node_modules", script), ...args], options);
}
