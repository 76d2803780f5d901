// Runs before anything is installed: imports from node: alone.
import { accessSync, constants, existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { Refusal, ROOT, run, say, stage } from "./stages.mjs";

const OLDEST = [20, 19];

/** Refuses a Node that is too old, and says it where a newer one is better. */
export function checkNode(version = process.versions.node) {
  const [major = 0, minor = 0] = version.split(".").map(Number);
  if (major < OLDEST[0] || (major === OLDEST[0] && minor < OLDEST[1])) {
    throw new Refusal(
      `This is Node ${version}, and Forewheel needs 20.19 or later: install Node 24 and start again.`,
    );
  }
  if (major < 22) {
    say(`Node ${version} works, but Node ${major} is past its support: 24 is recommended.`);
  }
}

/** Refuses a folder that nothing can be installed or kept in. */
export function checkFolder(folder = ROOT) {
  try {
    accessSync(folder, constants.W_OK | constants.X_OK);
  } catch {
    throw new Refusal(
      `The folder ${folder} cannot be written: give yourself the right to, or clone into a folder of your own.`,
    );
  }
}

/** Installs what package-lock.json names, unless it is there already. */
export async function install() {
  if (isInstalled()) return;
  await stage(
    "installing packages (npm ci)",
    () => npm(["ci", "--no-audit", "--no-fund", "--loglevel=error"], "npm ci"),
    () => `, ${countPackages()} packages in place`,
  );
}

/** What API, worker and commands are started from: the client of the database and dist. */
export async function build() {
  await stage("building", () => npm(["run", "build"], "npm run build"));
}

/** Runs the npm that started this command, or the one on the path. */
function npm(args, name) {
  const started = process.env.npm_execpath;
  if (started === undefined || !existsSync(started)) return run("npm", args, { name });
  return run(process.execPath, [started, ...args], { name });
}

/** Whether node_modules holds every package of package-lock.json in its very version. */
function isInstalled() {
  const present = join(ROOT, "node_modules", ".package-lock.json");
  if (!existsSync(present)) return false;
  const wanted = JSON.parse(readFileSync(join(ROOT, "package-lock.json"), "utf8")).packages;
  const there = JSON.parse(readFileSync(present, "utf8")).packages;
  return Object.entries(wanted).every(([path, entry]) => {
    if (path === "") return true;
    if (there[path] === undefined) return entry.optional === true;
    return there[path].version === entry.version;
  });
}

function countPackages() {
  const folder = join(ROOT, "node_modules");
  return existsSync(folder) ? readdirSync(folder).length : 0;
}
