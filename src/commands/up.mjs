// Runs before anything is installed: imports from node: alone at the top, packages after install().
import { randomBytes } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { build, checkFolder, checkNode, install } from "./install.mjs";
import { forgetProcesses, noteProcesses, stopLeftovers } from "./processes.mjs";
import { Refusal, ROOT, run, say, stage, stopRunning } from "./stages.mjs";
import { supervisor } from "./supervise.mjs";

const LOCAL = join(ROOT, ".local");
const UP_FILE = join(LOCAL, "up.json");
const SECRETS_FILE = join(LOCAL, "secrets.json");
const READY_LIMIT_MS = 120_000;

const parts = supervisor((_name, code) => end(code));
/** What is stopped after the parts, last started first. @type {((force: boolean) => Promise<void>)[]} */
const services = [];
const progress = { ours: false, stopping: false, signals: 0, up: false, workerPort: "" };

/** @param {string} path below dist */
const built = (path) => join(ROOT, "dist", path);

function address() {
  const host = process.env.HOST?.trim() || "127.0.0.1";
  const text = process.env.PORT?.trim() || "8080";
  const port = Number(text);
  if (!/^\d{1,5}$/.test(text) || port < 1 || port > 65_535) {
    throw new Refusal(`PORT is "${text}": give a whole number from 1 to 65535.`);
  }
  const reachable = host === "0.0.0.0" || host === "::" ? "127.0.0.1" : host;
  const origin = `http://${reachable.includes(":") ? `[${reachable}]` : reachable}:${port}`;
  return { host, port, origin };
}

async function checkPort({ host, port }) {
  const server = createServer();
  const error = await new Promise((resolve) => {
    server.once("error", resolve);
    server.listen(port, host, () => resolve(undefined));
  });
  await new Promise((resolve) => server.close(resolve));
  if (error === undefined) return;
  if (error.code === "EADDRINUSE") {
    throw new Refusal(
      `Port ${port} is taken by another program: choose another one, as in PORT=${port === 65_535 ? 8081 : port + 1} npm run up.`,
    );
  }
  throw new Refusal(`${host}:${port} cannot be listened on (${error.code}): set HOST or PORT.`);
}

function readSecrets() {
  const fresh = {
    operatorToken: randomBytes(32).toString("base64url"),
    signingSecret: randomBytes(32).toString("base64url"),
    appDatabasePassword: randomBytes(24).toString("base64url"),
    demoApiKeys: {},
  };
  if (!existsSync(SECRETS_FILE)) return fresh;
  try {
    return { ...fresh, ...JSON.parse(readFileSync(SECRETS_FILE, "utf8")) };
  } catch {
    throw new Refusal(`${SECRETS_FILE} cannot be read as JSON: mend it, or remove it.`);
  }
}

/** @param {string} file */
function writePrivate(file, value) {
  // A file that exists keeps its old mode, whatever is asked for.
  rmSync(file, { force: true });
  writeFileSync(file, `${JSON.stringify(value, null, 2)}\n`, { mode: 0o600 });
}

async function startDatabase() {
  const { start } = await import(built("src/commands/embedded-postgres.js"));
  const database = await start(join(LOCAL, "postgres"), {
    say: (sentence) => say(`  ${sentence}`),
  });
  services.push((force) => database.stop(force));
  database.ended.then((code) => {
    if (progress.stopping) return;
    say("The database ended unasked; everything is stopped. .local/postgres.log says more.");
    end(code || 1);
  });
  return database.ownerUrl;
}

async function startLocalMailbox() {
  const { startMailbox } = await import(built("src/commands/mailbox.js"));
  const mailbox = await startMailbox({ folder: join(LOCAL, "mail") });
  services.push(() => mailbox.stop());
  return mailbox;
}

/** The environment of the parts: what was given, and what this run makes itself. */
function environment(ownerUrl, mailbox, secrets, { host, port }) {
  const env = {
    ...process.env,
    DATABASE_URL: ownerUrl,
    HOST: host,
    PORT: String(port),
    OPERATOR_TOKEN: process.env.OPERATOR_TOKEN || secrets.operatorToken,
    SIGNING_SECRET: process.env.SIGNING_SECRET || secrets.signingSecret,
    LOG_LEVEL: process.env.LOG_LEVEL || "warn",
    SMTP_URL: mailbox?.smtpUrl ?? process.env.SMTP_URL,
  };
  if (!process.env.DATABASE_URL) {
    delete env.APP_DATABASE_URL;
    env.APP_DATABASE_PASSWORD = secrets.appDatabasePassword;
  }
  return env;
}

/** Refuses to go on with wrong settings, and gives the API's back. */
async function checkSettings(env) {
  const { apiConfig, ConfigFault, migrateConfig, workerConfig } = await import(
    built("src/config.js")
  );
  const faults = new Set();
  for (const read of [migrateConfig, workerConfig, apiConfig]) {
    try {
      read(env);
    } catch (error) {
      if (!(error instanceof ConfigFault)) throw error;
      for (const fault of error.faults) faults.add(fault);
    }
  }
  if (faults.size > 0) throw new Refusal([...faults].join("\n"));
  return apiConfig(env);
}

/** Loads the demonstration, and keeps the key that is shown once, when the account is made. */
async function loadDemo(env, secrets) {
  const output = await run(process.execPath, [built("src/commands/demo.js")], {
    env,
    name: "the demonstration",
  });
  const place = process.env.DATABASE_URL ? new URL(process.env.DATABASE_URL) : undefined;
  const name = place === undefined ? "embedded" : `${place.host}${place.pathname}`;
  const made = output.split("\n").find((line) => /^\{.*"apiKey"/.test(line));
  if (made !== undefined) secrets.demoApiKeys[name] = JSON.parse(made).apiKey;
  writePrivate(SECRETS_FILE, secrets);
  return secrets.demoApiKeys[name] ?? null;
}

function migrate(env) {
  return run(process.execPath, [built("src/commands/migrate.js")], { env, name: "the migration" });
}

async function startParts(env, { origin }) {
  parts.start("api", built("src/api.js"), env);
  const { freePort } = await import(built("src/commands/free-port.js"));
  const port = process.env.WORKER_PORT || String(await freePort());
  progress.workerPort = port;
  parts.start("worker", built("workers/main.js"), { ...env, WORKER_PORT: port });
  noteProcesses(parts.pids());
  await untilReady(origin);
}

async function untilReady(origin) {
  const limit = Date.now() + READY_LIMIT_MS;
  while (Date.now() < limit && !progress.stopping) {
    try {
      const answer = await fetch(`${origin}/readyz`, { signal: AbortSignal.timeout(2000) });
      if (answer.status === 200) return;
    } catch {
      // Not listening yet.
    }
    await sleep(200);
  }
  throw new Refusal(`The API was not ready within ${READY_LIMIT_MS / 1000} s.`);
}

function announce(up, mailbox) {
  progress.up = true;
  say("");
  say("Forewheel is up. Its demonstration is invented: no real machine, maker, person or place.");
  say(`  API and its description   ${up.baseUrl}/docs`);
  if (mailbox === undefined) say("  Mail goes to              SMTP_URL");
  else say(`  Mailbox                   ${mailbox.url}`);
  say(`  The worker's measurements http://127.0.0.1:${progress.workerPort}/metrics`);
  say("  Everything to connect     .local/up.json");
  if (up.apiKey === null) {
    say("The demo account is there, but .local/secrets.json holds no key for it: make a new one");
    say("with npm run account, or remove .local and start again.");
  } else {
    say("A first call:");
    say(`  curl -H "Authorization: Bearer ${up.apiKey}" ${up.baseUrl}/v1/vehicles`);
  }
  say("Ctrl-C stops everything.");
  say("");
  mailbox
    ?.waitFor(() => true, 300_000)
    .then((message) => say(`In the mailbox: ${JSON.stringify(message.subject)}`))
    .catch(() => {});
}

async function up() {
  checkNode();
  checkFolder();
  mkdirSync(LOCAL, { recursive: true });
  checkFolder(LOCAL);
  await stopLeftovers();
  noteProcesses({});
  progress.ours = true;
  rmSync(UP_FILE, { force: true });
  const at = address();
  await checkPort(at);
  const secrets = readSecrets();
  await step(install);
  await step(build);
  const ownerUrl =
    process.env.DATABASE_URL || (await step(() => stage("starting the database", startDatabase)));
  const mailbox = process.env.SMTP_URL
    ? undefined
    : await step(() => stage("starting the mailbox", startLocalMailbox));
  const env = environment(ownerUrl, mailbox, secrets, at);
  const { baseUrl } = await step(() => checkSettings(env));
  await step(() => stage("migrating", () => migrate(env)));
  const apiKey = await step(() => stage("loading the demonstration", () => loadDemo(env, secrets)));
  await step(() => stage("starting API and worker", () => startParts(env, at)));
  const result = {
    baseUrl,
    apiKey,
    operatorToken: env.OPERATOR_TOKEN,
    mailboxUrl: mailbox?.url ?? null,
    databaseUrl: ownerUrl,
  };
  writePrivate(UP_FILE, result);
  announce(result, mailbox);
}

/**
 * Does one step, unless the run is being stopped: then it goes no further.
 * @template T
 * @param {() => Promise<T>} work
 */
async function step(work) {
  if (progress.stopping) throw new Refusal("Stopped.");
  const result = await work();
  if (progress.stopping) throw new Refusal("Stopped.");
  return result;
}

/**
 * Stops everything, database last, and ends with the code.
 * @param {number} code
 */
async function end(code) {
  if (progress.stopping) return;
  progress.stopping = true;
  stopRunning();
  // A server that is just starting is known only when its step is done.
  await Promise.race([working.catch(() => {}), sleep(15_000)]);
  const started = services.length > 0;
  await parts.stop();
  for (const stop of services.reverse()) await stop(false);
  if (progress.ours) {
    rmSync(UP_FILE, { force: true });
    forgetProcesses();
  }
  if (started) say(code === 0 ? "Everything is stopped." : "Everything is stopped, not as asked.");
  process.exit(code);
}

function forceEnd() {
  say("Forced.");
  parts.force();
  const all = Promise.allSettled(services.map((stop) => stop(true)));
  Promise.race([all, sleep(3000)]).then(() => process.exit(1));
}

function onSignal(signal) {
  progress.signals += 1;
  if (progress.signals > 1) return forceEnd();
  if (progress.stopping) return;
  say(`${signal}: stopping; once more forces it.`);
  end(progress.up ? 0 : 130);
}

process.on("SIGINT", onSignal);
process.on("SIGTERM", onSignal);
process.on("SIGHUP", onSignal);
// A terminal or pipe that is gone must not keep this from stopping the parts in order.
for (const stream of [process.stdout, process.stderr]) stream.on("error", () => {});
if (process.env.npm_lifecycle_event === "up") {
  // npm may be killed without a word to what it started.
  const parent = process.ppid;
  setInterval(() => process.ppid !== parent && end(1), 500).unref();
}

const working = up();
try {
  await working;
} catch (error) {
  // When the run is being stopped, a stage that fails is a consequence.
  if (!progress.stopping) {
    process.stderr.write(`${error instanceof Refusal ? error.message : (error.stack ?? error)}\n`);
    await end(error instanceof Refusal ? error.code : 1);
  }
}
