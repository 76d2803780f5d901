import { answerCheck } from "../document/check-answer.ts";
import {
  essenceOf,
  isJson,
  type OpenDocument,
  type Operation,
  operationsOf,
} from "../document/open-document.ts";
import { schemaCheck } from "../document/schemas.ts";
import type { Account } from "./account.ts";
import { type Dice, diceOf } from "./dice.ts";
import type { FuzzRequest } from "./fuzz-request.ts";
import { faultsIn, type Looking } from "./look.ts";
import { accountOfKey, makeAccount } from "./make-accounts.ts";
import { spoil } from "./nearly-valid.ts";
import { rot } from "./rotten.ts";
import { type Came, Sender } from "./send.ts";
import { settle } from "./settle.ts";
import { kindOf } from "./stock.ts";
import { linesOf, Tally } from "./tally.ts";
import { type Draft, validDraft } from "./valid-request.ts";
import { writeRequest } from "./write-request.ts";

export interface FuzzOptions {
  /** Where the API is. */
  readonly origin: string;
  readonly requests: number;
  readonly seed: number;
  /** Requests under way at a time on one pair of accounts. */
  readonly connections: number;
  /** Pairs of accounts at a time; requests of one account often wait for one another. */
  readonly pairs?: number;
  /** Makes two accounts, to see that nothing crosses from one to the other. */
  readonly operatorToken?: string;
  /** Without the operator's token: the one account that is asked about. */
  readonly key?: string;
  readonly say?: (line: string) => void;
}

export interface FuzzResult {
  readonly tally: Tally;
  /** Ids of the accounts that the run made, or that were made by its requests. */
  readonly accountIds: ReadonlySet<string>;
  readonly seconds: number;
}

/** Requests after which a new pair of accounts takes over, so that no account grows without end. */
const ROUND = 4000;
/** Things of a kind below which none is removed. */
const KEPT = 2;
/** Every endpoint of webhooks is told of every event: with many, moving the clock takes long. */
const MOST: Readonly<Record<string, number>> = { addWebhookEndpoint: 2 };
/** Things that each account is given before chance takes over. */
const FILLINGS = 3;

/** Asks the API, request by request, as its own document says, nearly so, and not at all. */
export async function runFuzz(options: FuzzOptions): Promise<FuzzResult> {
  const begun = performance.now();
  const pairs = options.pairs ?? 1;
  const sender = new Sender(options.origin, options.connections * pairs);
  try {
    const run = await FuzzRun.open(options, sender);
    const rounds = async () => {
      while (run.tally.requests < options.requests) if (!(await roundOf(run, options))) break;
    };
    await Promise.all(Array.from({ length: pairs }, rounds));
    const seconds = (performance.now() - begun) / 1000;
    return { tally: run.tally, accountIds: run.accountIds, seconds };
  } finally {
    sender.close();
  }
}

/** Whether there is anything left to ask: an API that is gone ends the run with what was found. */
async function roundOf(run: FuzzRun, { say }: FuzzOptions): Promise<boolean> {
  try {
    await run.round();
    return true;
  } catch (error) {
    if (run.tally.findings.size === 0) throw error;
    say?.(`- The run ends early: ${String(error)}`);
    return false;
  }
}

class FuzzRun {
  readonly tally: Tally;
  readonly accountIds = new Set<string>();
  readonly #options: FuzzOptions;
  readonly #sender: Sender;
  readonly #document: OpenDocument;
  readonly #operations: readonly Operation[];
  readonly #looking: Omit<Looking, "other">;
  #number = 0;

  static async open(options: FuzzOptions, sender: Sender): Promise<FuzzRun> {
    const came = await sender.send({
      method: "GET",
      url: "/openapi.json",
      headers: {},
      body: null,
    });
    if (came.status !== 200) throw new Error(`No document at ${options.origin}/openapi.json`);
    return new FuzzRun(options, sender, JSON.parse(came.body.toString()) as OpenDocument);
  }

  private constructor(options: FuzzOptions, sender: Sender, document: OpenDocument) {
    this.#options = options;
    this.#sender = sender;
    this.#document = document;
    this.#operations = operationsOf(document);
    this.#looking = { check: answerCheck(document), schemas: schemaCheck(document) };
    this.tally = new Tally(this.#operations.map(({ operationId }) => operationId));
  }

  /** New accounts, and requests by turns of both. */
  async round(): Promise<void> {
    const accounts = await this.#accounts();
    for (const account of accounts) await this.#fillUp(account, accounts);
    const { requests, pairs = 1 } = this.#options;
    const until = Math.min(requests, this.tally.requests + ROUND * pairs);
    const turns = Array.from({ length: this.#options.connections }, async () => {
      while (this.tally.requests < until && accounts.every(({ stock }) => !stock.gone)) {
        const dice = this.#dice();
        const operation = dice.pick(this.#operations);
        await this.#ask(operation, dice.pick(accounts), accounts, dice);
      }
    });
    await Promise.all(turns);
    const [leaving] = accounts.filter(({ stock }) => !stock.gone);
    if (leaving !== undefined && accounts.length > 1) await this.#farewell(leaving, accounts);
    this.#options.say?.(`- ${this.tally.requests} requests, ${this.tally.findings.size} findings`);
  }

  /** One account is deleted for good; the other stays, so that its rows can be looked at. */
  async #farewell(account: Account, accounts: readonly Account[]): Promise<void> {
    for (const operationId of ["getAccount", "deleteAccount", "getDeletedAccount"]) {
      const operation = this.#operations.find((one) => one.operationId === operationId);
      const draft = operation && this.#draft(operation, account, this.#dice());
      if (draft === undefined) return;
      if (operationId === "getAccount") draft.headers = { authorization: `Bearer ${account.key}` };
      if (operationId === "deleteAccount") draft.query = [["name", account.name]];
      await this.#send(writeRequest(draft, "valid", "nothing is wrong"), accounts);
    }
  }

  #draft(operation: Operation, account: Account, dice: Dice): Draft | undefined {
    const { operatorToken } = this.#options;
    const draft = validDraft(this.#document, operation, account, operatorToken, dice);
    if (draft !== undefined) settle(draft, dice);
    return draft;
  }

  #dice(): Dice {
    this.#number += 1;
    return diceOf(this.#options.seed, this.#number);
  }

  async #accounts(): Promise<Account[]> {
    const { operatorToken, key } = this.#options;
    if (operatorToken === undefined) {
      if (key === undefined) throw new Error("Either the operator's token or a key is needed.");
      return [accountOfKey(key, this.#operations, Date.now())];
    }
    const make = () => makeAccount(this.#sender, operatorToken, this.#operations, this.#dice());
    const made = [await make(), await make()];
    for (const { id } of made) this.accountIds.add(id);
    return made;
  }

  /** A few things of each kind, in the order in which the document has the operations. */
  async #fillUp(account: Account, accounts: readonly Account[]): Promise<void> {
    for (let filling = 0; filling < FILLINGS; filling += 1) {
      for (const operation of this.#operations) {
        if (operation.method === "DELETE" || this.tally.requests >= this.#options.requests)
          continue;
        const dice = this.#dice();
        const request = this.#validRequest(operation, account, dice);
        if (request !== undefined) await this.#send(request, accounts);
      }
    }
  }

  async #ask(
    operation: Operation,
    account: Account,
    accounts: readonly Account[],
    dice: Dice,
  ): Promise<void> {
    const foreign = accounts.find((one) => one !== account);
    const turn = dice.fraction();
    if (turn < 0.4) {
      const request = this.#validRequest(operation, account, dice);
      return request === undefined ? undefined : this.#send(request, accounts);
    }
    if (this.#isEnough(operation, account)) return;
    const draft = this.#draft(operation, account, dice);
    if (draft === undefined) return;
    if (turn < 0.7) {
      const twist = spoil(draft, dice, foreign?.stock);
      return this.#send(writeRequest(draft, "nearly", twist), accounts);
    }
    return this.#send(rot(draft, dice), accounts);
  }

  #validRequest(operation: Operation, account: Account, dice: Dice): FuzzRequest | undefined {
    const kind = kindOf(operation.path);
    const few = kind !== undefined && account.stock.count(kind) < KEPT;
    if (operation.method === "DELETE" && (few || kind === undefined)) return undefined;
    if (this.#isEnough(operation, account)) return undefined;
    const draft = this.#draft(operation, account, dice);
    return draft && writeRequest(draft, "valid", "nothing is wrong");
  }

  /** An account that was handed in is never deleted, and a made one at the end alone. */
  #isEnough({ operationId }: Operation, { stock, keyId }: Account): boolean {
    if (operationId === "deleteAccount" && keyId === "") return true;
    return stock.count("endpointId") >= (MOST[operationId] ?? Number.POSITIVE_INFINITY);
  }

  async #send(request: FuzzRequest, accounts: readonly Account[]): Promise<void> {
    // The keys of the run itself stay: without them nothing more could be asked.
    if (changesOwnKey(request, accounts)) return;
    // Moves of one clock at once do the same work several times over.
    const moves = request.operation.operationId === "moveClock";
    if (moves && request.account.moving) return;
    if (moves) request.account.moving = true;
    await this.#sendAndLook(request, accounts);
    if (moves) request.account.moving = false;
  }

  async #sendAndLook(request: FuzzRequest, accounts: readonly Account[]): Promise<void> {
    const other = accounts.find((one) => one !== request.account);
    try {
      const came = await this.#sender.send(request);
      this.tally.count(request, came.status, came.body);
      for (const fault of faultsIn(request, came, { ...this.#looking, other })) {
        this.#find(request, fault);
      }
      if (came.status < 300) this.#learn(request, came);
    } catch (error) {
      this.tally.count(request, 0);
      this.#find(request, `gives no answer: ${String(error)}`);
    }
  }

  /** A run takes long: what is found is told at once, and again with its count at the end. */
  #find(request: FuzzRequest, fault: string): void {
    const found = this.tally.find(request, fault, this.#options.origin);
    if (found !== null) for (const line of linesOf(found)) this.#options.say?.(line);
  }

  #learn({ operation, account, place, method }: FuzzRequest, came: Came): void {
    if (method !== operation.method) return;
    const kind = kindOf(operation.path);
    if (method === "DELETE" && kind !== undefined) account.stock.forget(kind, place[kind]);
    if (method === "DELETE" && kind === undefined) {
      account.stock.gone = true;
      this.accountIds.delete(account.id);
    }
    if (!isJson(essenceOf(came.headers["content-type"] ?? ""))) return;
    const body = JSON.parse(came.body.toString()) as Record<string, unknown>;
    if (operation.security?.some((one) => "operatorToken" in one)) {
      const made = body.account as { id?: string } | undefined;
      if (made?.id !== undefined) this.accountIds.add(made.id);
      return;
    }
    account.stock.learn(operation, place, body);
    if (operation.operationId === "getAccount") account.name = String(body.name);
    if (typeof body.clock === "string") account.now = Date.parse(body.clock);
  }
}

function changesOwnKey({ operation, place }: FuzzRequest, accounts: readonly Account[]): boolean {
  return (
    operation.method !== "GET" && accounts.some(({ keyId }) => Object.values(place).includes(keyId))
  );
}
