/** The parts that are configured by the environment. */
export type Part = "api" | "worker" | "migrate";

/** One line of the table of settings. */
export interface Setting {
  readonly name: string;
  /** What it is for, in one sentence. */
  readonly what: string;
  /** Text that is taken where the setting is absent. */
  readonly fallback: string | undefined;
  /** What happens where it is absent and has no fallback, in words for the table. */
  readonly otherwise: string;
  readonly usedBy: readonly Part[];
  /** Those that do not start without it. */
  readonly requiredBy: readonly Part[];
}

/** Every setting, in the order of the table in the README, which a test compares with this one. */
export const SETTINGS: readonly Setting[] = [
  {
    name: "DATABASE_URL",
    what: "PostgreSQL as the database's owner, who migrates it.",
    fallback: undefined,
    otherwise: "required by migrate",
    usedBy: ["migrate", "api", "worker"],
    requiredBy: ["migrate"],
  },
  {
    name: "APP_DATABASE_URL",
    what: "PostgreSQL as the role that row-level security binds.",
    fallback: undefined,
    otherwise: "DATABASE_URL with the role forewheel_app",
    usedBy: ["api", "worker"],
    requiredBy: [],
  },
  {
    name: "APP_DATABASE_PASSWORD",
    what: "Password of the role forewheel_app.",
    fallback: undefined,
    otherwise:
      "the one in APP_DATABASE_URL; forewheel_app where the database is on this machine; required elsewhere",
    usedBy: ["migrate", "api", "worker"],
    requiredBy: [],
  },
  {
    name: "REDIS_URL",
    what: "Redis under the queue.",
    fallback: undefined,
    otherwise: "the queue runs on PostgreSQL",
    usedBy: ["api", "worker"],
    requiredBy: [],
  },
  {
    name: "SMTP_URL",
    what: "The mail server that takes reminders, smtp: or smtps:.",
    fallback: undefined,
    otherwise: "required by worker",
    usedBy: ["worker"],
    requiredBy: ["worker"],
  },
  {
    name: "SMTP_TIMEOUT_SECONDS",
    what: "How long a mail server may take to let itself be reached; leases follow from it.",
    fallback: "10",
    otherwise: "",
    usedBy: ["worker"],
    requiredBy: [],
  },
  {
    name: "MAIL_FROM",
    what: "Name and address that mails come from.",
    fallback: "Forewheel <reminders@example.org>",
    otherwise: "",
    usedBy: ["api", "worker"],
    requiredBy: [],
  },
  {
    name: "PORT",
    what: "TCP port of the API.",
    fallback: "8080",
    otherwise: "",
    usedBy: ["api"],
    requiredBy: [],
  },
  {
    name: "HOST",
    what: "Address that the API and the worker listen on.",
    fallback: "127.0.0.1",
    otherwise: "",
    usedBy: ["api", "worker"],
    requiredBy: [],
  },
  {
    name: "BASE_URL",
    what: "Where riders reach the API: the links in mails begin with it.",
    fallback: undefined,
    otherwise: "http://HOST:PORT",
    usedBy: ["api", "worker"],
    requiredBy: [],
  },
  {
    name: "OPERATOR_TOKEN",
    what: "Bearer token that may make accounts, 32 characters or more.",
    fallback: undefined,
    otherwise: "required by api",
    usedBy: ["api"],
    requiredBy: ["api"],
  },
  {
    name: "SIGNING_SECRET",
    what: "Signs links and cursors, 32 characters or more, the same for API and worker.",
    fallback: undefined,
    otherwise: "required by api and worker",
    usedBy: ["api", "worker"],
    requiredBy: ["api", "worker"],
  },
  {
    name: "WEBHOOK_ALLOW_PRIVATE",
    what: "yes lets webhooks reach private addresses, and without TLS: for development.",
    fallback: "no",
    otherwise: "",
    usedBy: ["api", "worker"],
    requiredBy: [],
  },
  {
    name: "RATE_PER_KEY",
    what: "Requests that one API key may make in a second, over all processes together.",
    fallback: "100",
    otherwise: "",
    usedBy: ["api"],
    requiredBy: [],
  },
  {
    name: "WORKER_PORT",
    what: "TCP port on which the worker answers /livez, /readyz and /metrics, at HOST.",
    fallback: undefined,
    otherwise: "none is opened",
    usedBy: ["worker"],
    requiredBy: [],
  },
  {
    name: "WORKER_STATE_FILE",
    what: "Where the worker remembers how far it has come, so that a restored copy is noticed.",
    fallback: ".local/worker-position.json",
    otherwise: "",
    usedBy: ["worker"],
    requiredBy: [],
  },
  {
    name: "LOG_LEVEL",
    what: "trace, debug, info, warn, error, fatal or silent.",
    fallback: "info",
    otherwise: "",
    usedBy: ["api", "worker"],
    requiredBy: [],
  },
];
