// Runs before anything is installed: imports from node: alone.
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { build, checkFolder, checkNode, install } from "./install.mjs";
import { Refusal, runInstalled, say, stage, stopRunning } from "./stages.mjs";

const CHECKS = [
  { name: "type check", script: "typescript/bin/tsc", args: ["-p", "test/tsconfig.json"] },
  { name: "lint and format", script: "@biomejs/biome/bin/biome", args: ["check"] },
];

/** Does the checks that need no running part, and gives back the names of those that failed. */
async function check() {
  const failed = [];
  for (const { name, script, args } of CHECKS) {
    try {
      await stage(name, () => runInstalled(script, args, { name }));
    } catch (error) {
      if (stopped || !(error instanceof Refusal)) throw error;
      say(error.message);
      failed.push(name);
    }
  }
  return failed;
}

// Faults that last for minutes are brought about when they are asked for, one after another: each starts
// several processes, and what they do in time would be told by their neighbours else.
const USUAL = ["--project=alone", "--project=services"];
const LONG_FAULTS = ["--project=faults", "--maxWorkers=1"];

/**
 * Runs the tests and gives back their counts; undefined where they could not even be started.
 * @param {string[]} projects
 * @param {string[]} only paths; all tests of the projects where there are none
 */
async function runTests(projects, only) {
  const folder = mkdtempSync(join(tmpdir(), "forewheel-report-"));
  const report = join(folder, "report.json");
  const reporters = ["--reporter=default", "--reporter=json", `--outputFile.json=${report}`];
  try {
    say("- tests ...");
    await runInstalled("vitest/vitest.mjs", ["run", ...projects, ...reporters, ...only], {
      show: true,
      name: "vitest",
      // Operations that no test asks for are told in every run, and fail a whole one.
      ...(only.length === 0 && projects === USUAL && { env: { WHOLE_RUN: "1" } }),
    });
    return { ...counts(report), ended: 0 };
  } catch (error) {
    // Vitest has said what failed; the report counts it.
    if (stopped || !(error instanceof Refusal)) throw error;
    return existsSync(report) ? { ...counts(report), ended: error.code } : undefined;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function counts(report) {
  const result = JSON.parse(readFileSync(report, "utf8"));
  // A file that could not be loaded has no test in it that could have failed.
  const broken = result.testResults.filter(
    ({ status, assertionResults }) =>
      status === "failed" && !assertionResults.some((one) => one.status === "failed"),
  );
  return {
    passed: result.numPassedTests,
    failed: result.numFailedTests + broken.length,
    skipped: result.numPendingTests + result.numTodoTests,
  };
}

function sayRedis() {
  if (process.env.REDIS_URL || spawnSync("redis-server", ["--version"]).status === 0) return;
  say("The Redis half was left out, since this machine has no redis-server: install it (on Debian");
  say("apt-get install redis-server) or set REDIS_URL, and run the tests again.");
}

function sayCounts({ passed, failed, skipped }) {
  say(`${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ""}`);
}

async function test() {
  const { values } = parseArgs({
    options: { only: { type: "string", multiple: true }, faults: { type: "boolean" } },
  });
  const only = values.only ?? [];
  checkNode();
  checkFolder();
  await install();
  await build();
  const failedChecks = only.length > 0 || values.faults ? [] : await check();
  const result = await runTests(values.faults ? LONG_FAULTS : USUAL, only);
  for (const name of failedChecks) say(`Failed beside the tests: ${name}.`);
  if (result === undefined) throw new Refusal("The tests could not be started.");
  // Something that belongs to no test went wrong, such as an error that nobody caught.
  if (result.ended !== 0 && result.failed === 0) say("Failed beside the tests: see above.");
  sayRedis();
  sayCounts(result);
  return result.ended === 0 && result.failed === 0 && failedChecks.length === 0 ? 0 : 1;
}

let stopped = false;
for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"]) {
  process.on(signal, () => {
    stopped = true;
    stopRunning();
  });
}

try {
  process.exitCode = await test();
} catch (error) {
  if (stopped) {
    say("Stopped.");
    process.exitCode = 130;
  } else {
    process.stderr.write(`${error instanceof Refusal ? error.message : (error.stack ?? error)}\n`);
    sayCounts({ passed: 0, failed: 1, skipped: 0 });
    process.exitCode = 1;
  }
}
