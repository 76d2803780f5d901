import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import { compileCommands, folderInProject } from "../support/compile-commands.ts";

const COMMANDS = resolve(import.meta.dirname, "../../src/commands");
const folders: string[] = [];
const children: ChildProcess[] = [];

/** A checkout that holds the commands and nothing else, so that nobody's own run is touched. */
function checkout(): string {
  const folder = mkdtempSync(join(tmpdir(), "forewheel-up-"));
  folders.push(folder);
  mkdirSync(join(folder, "src"));
  cpSync(COMMANDS, join(folder, "src/commands"), { recursive: true });
  mkdirSync(join(folder, ".local"));
  return folder;
}

function run(args: string[], env: NodeJS.ProcessEnv = {}): ChildProcess {
  const { npm_lifecycle_event: _, ...inherited } = process.env;
  const child = spawn(process.execPath, args, {
    env: { ...inherited, ...env },
    stdio: ["ignore", "pipe", "pipe"],
  });
  children.push(child);
  return child;
}

async function finished(child: ChildProcess) {
  let output = "";
  let errors = "";
  child.stdout?.on("data", (chunk) => {
    output += chunk;
  });
  child.stderr?.on("data", (chunk) => {
    errors += chunk;
  });
  const [code] = await once(child, "close");
  return { code, output, errors };
}

async function takenPort() {
  const server = createServer().listen(0, "127.0.0.1");
  await once(server, "listening");
  const address = server.address();
  if (address === null || typeof address === "string") throw new Error("no port");
  return { port: address.port, free: () => server.close() };
}

afterEach(() => {
  for (const child of children.splice(0)) child.kill("SIGKILL");
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

describe("npm run up", () => {
  it("says in one sentence which port is taken and how to choose another, and leaves no trace", async () => {
    const folder = checkout();
    const { port, free } = await takenPort();
    const up = join(folder, "src/commands/up.mjs");
    const { code, errors } = await finished(run([up], { PORT: String(port), HOST: "127.0.0.1" }));
    free();
    expect(code).toBe(1);
    expect(errors).toMatch(
      new RegExp(
        `^Port ${port} is taken by another program: choose another one, as in PORT=\\d+ npm run up\\.\\n$`,
      ),
    );
    expect(existsSync(join(folder, ".local/processes.json"))).toBe(false);
  });

  it("says what a port may be", async () => {
    const up = join(checkout(), "src/commands/up.mjs");
    const { code, errors } = await finished(run([up], { PORT: "eighty" }));
    expect(code).toBe(1);
    expect(errors).toBe('PORT is "eighty": give a whole number from 1 to 65535.\n');
  });

  it("stops what a killed run left behind, and spares a stranger with the number of another", async () => {
    const folder = checkout();
    const left = run(["-e", "setInterval(() => {}, 1000)"]);
    const stranger = run(["-e", "setInterval(() => {}, 1000)"]);
    const noting = join(folder, "note.mjs");
    writeFileSync(
      noting,
      `import { noteProcesses } from "./src/commands/processes.mjs";
noteProcesses({ api: ${left.pid}, worker: ${stranger.pid} });`,
    );
    await finished(run([noting]));
    const file = join(folder, ".local/processes.json");
    const note = JSON.parse(readFileSync(file, "utf8"));
    note.noted[2].identity = `1 ${note.noted[2].identity}`;
    writeFileSync(file, JSON.stringify(note));

    const ended = once(left, "exit");
    const up = join(folder, "src/commands/up.mjs");
    const { output } = await finished(run([up], { PORT: "eighty" }));
    expect(output).toContain(`An earlier run left api behind as process ${left.pid}`);
    expect(await ended).toEqual([null, "SIGTERM"]);
    expect(output).not.toContain("worker");
    expect(stranger.signalCode).toBeNull();
  });

  it("refuses to start beside a run of the same folder that somebody holds", async () => {
    const folder = checkout();
    const holding = join(folder, "hold.mjs");
    writeFileSync(
      holding,
      `import { noteProcesses } from "./src/commands/processes.mjs";
noteProcesses({});
console.log("noted");
setInterval(() => {}, 1000);`,
    );
    const held = run([holding]);
    await once(held.stdout!, "data");
    const up = join(folder, "src/commands/up.mjs");
    const { code, errors } = await finished(run([up]));
    expect(code).toBe(1);
    expect(errors).toMatch(new RegExp(`already runs from this folder as process ${held.pid}:`));
    expect(existsSync(join(folder, ".local/processes.json"))).toBe(true);
  });
});

describe("the parts of a run", () => {
  it("end it with the exit code of the first that ends unasked, and the others are asked to end", async () => {
    const folder = checkout();
    writeFileSync(join(folder, "crash.mjs"), "setTimeout(() => process.exit(7), 500);");
    writeFileSync(
      join(folder, "calm.mjs"),
      `process.once("SIGTERM", () => { console.log("ended as asked"); process.exit(0); });
console.log("up");
setInterval(() => {}, 1000);`,
    );
    const program = join(folder, "parts.mjs");
    writeFileSync(
      program,
      `import { supervisor } from "./src/commands/supervise.mjs";
const parts = supervisor(async (name, code) => { await parts.stop(); process.exit(code); });
parts.start("calm", process.argv[2], process.env);
parts.start("crash", process.argv[3], process.env);`,
    );
    const { code, output } = await finished(
      run([program, join(folder, "calm.mjs"), join(folder, "crash.mjs")]),
    );
    expect(code).toBe(7);
    expect(output).toContain("calm   | up");
    expect(output).toContain("The crash ended unasked with code 7");
    expect(output).toContain("calm   | ended as asked");
  });

  it("notice that the one who started them was killed, and end by themselves", async () => {
    const folder = folderInProject();
    folders.push(folder);
    compileCommands(folder, "parent.ts");
    for (const name of ["supervise.mjs", "stages.mjs"]) {
      cpSync(join(COMMANDS, name), join(folder, name));
    }
    const file = join(folder, "ended");
    writeFileSync(
      join(folder, "part.mjs"),
      `import { writeFileSync } from "node:fs";
import { stopWithParent } from "./parent.js";
const timer = setInterval(() => {}, 1000);
stopWithParent(() => { writeFileSync(${JSON.stringify(file)}, ""); clearInterval(timer); });
console.log("pid " + process.pid);`,
    );
    const program = join(folder, "parts.mjs");
    writeFileSync(
      program,
      `import { supervisor } from "./supervise.mjs";
supervisor(() => {}).start("part", process.argv[2], process.env);`,
    );
    const parent = run([program, join(folder, "part.mjs")]);
    const [line] = (await once(parent.stdout!, "data")) as [Buffer];
    const pid = Number(/pid (\d+)/.exec(line.toString())?.[1]);
    expect(() => process.kill(pid, 0)).not.toThrow();
    parent.kill("SIGKILL");
    await expect.poll(() => existsSync(file), { timeout: 5000 }).toBe(true);
  });
});
