import { createPostgresBackend, Queue, Worker } from "bullmq";
import { Redis } from "ioredis";
import { QUEUE_SCHEMA } from "../src/database/migrations.ts";

/** A job wakes a worker; the message's row is the truth. */
export interface MessageJob {
  accountId: string;
  messageId: string;
  /** To try a mail server that is taken to be down. */
  probe?: true;
}

export interface MessageQueue {
  /** Wakes a worker for each message; one that is queued already is not queued twice. */
  wake(jobs: readonly MessageJob[]): Promise<void>;
  /** Runs jobs until `close`. */
  work(run: (job: MessageJob) => Promise<void>, concurrency: number): void;
  /** Lets running jobs end, then lets go of the connections. */
  close(force: boolean): Promise<void>;
}

/** Each channel has a queue of its own, so that none holds up the other. */
export type QueueName = "messages" | "deliveries";

/** Retries live in the row: a job that was tried leaves nothing behind, so that it can be added again. */
const JOB_OPTIONS = { removeOnComplete: true, removeOnFail: true, attempts: 1 };

/**
 * The job of a worker that died bars its message's way until it counts as stalled, which two looks in
 * a row must find after its lock has ended: before the message's lease does.
 */
const STALLING = { lockDuration: 8_000, stalledInterval: 4_000 };

/** After its database or Redis was away a worker asks for jobs again so soon. */
const COMING_BACK = { runRetryDelay: 1_000 };

/** The queue on Redis where there is one, else on PostgreSQL. */
export function messageQueue(
  settings: { redisUrl: string | undefined; databaseUrl: string },
  onError: (error: Error) => void,
  name: QueueName = "messages",
): MessageQueue {
  const { queue, workerOn, release } = settings.redisUrl
    ? onRedis(settings.redisUrl, name, onError)
    : onPostgres(settings.databaseUrl, name);
  queue.on("error", onError);
  let worker: Worker<MessageJob> | undefined;
  return {
    async wake(jobs) {
      await queue.addBulk(
        jobs.map((data) => ({
          name: "send",
          data,
          opts: { ...JOB_OPTIONS, jobId: data.messageId },
        })),
      );
    },
    work(run, concurrency) {
      worker = workerOn((job) => run(job), concurrency);
      worker.on("error", onError);
    },
    async close(force) {
      await worker?.close(force);
      await queue.close();
      await release();
    },
  };
}

type Run = (job: MessageJob) => Promise<void>;

interface Backend {
  queue: Queue<MessageJob>;
  workerOn(run: Run, concurrency: number): Worker<MessageJob>;
  release(): Promise<void>;
}

function onRedis(url: string, name: QueueName, onError: (error: Error) => void): Backend {
  // A worker waits for jobs on a connection that must never give up.
  const connection = new Redis(url, { maxRetriesPerRequest: null });
  connection.on("error", onError);
  return {
    queue: new Queue<MessageJob>(name, { connection, skipWaitingForReady: true }),
    workerOn: (run, concurrency) =>
      new Worker<MessageJob>(name, ({ data }) => run(data), {
        connection,
        concurrency,
        ...STALLING,
        ...COMING_BACK,
      }),
    async release() {
      connection.disconnect();
    },
  };
}

function onPostgres(databaseUrl: string, name: QueueName): Backend {
  // Each opens a pool of its own: small ones, since a job holds no connection while it runs.
  const connection = { connectionString: databaseUrl, schema: QUEUE_SCHEMA, max: 2 };
  const queue = new Queue(name, { connection }, createPostgresBackend);
  return {
    queue: queue as unknown as Queue<MessageJob>,
    workerOn: (run, concurrency) =>
      new Worker(
        name,
        ({ data }: { data: MessageJob }) => run(data),
        { connection, concurrency, ...STALLING, ...COMING_BACK },
        createPostgresBackend,
      ) as unknown as Worker<MessageJob>,
    async release() {},
  };
}
