import { parseArgs } from "node:util";
import { uuidv7 } from "uuidv7";
import { createAccount } from "../application/accounts.ts";
import { apiConfig } from "../config.ts";
import { connect } from "../database/client.ts";
import { databaseOn } from "../database/tenancy.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { makeApiKey } from "../http/api-key.ts";
import { requireBody } from "../http/read-request.ts";
import { accountBody } from "../http/schemas/people.ts";
import { mailDomain } from "../mail-domain.ts";
import { configured } from "./configured.ts";

const USAGE = `Makes an account with its owner and a first key, as POST /v1/accounts does.

  npm run account -- --name NAME --owner NAME --email ADDRESS [--time-zone ZONE] [--sandbox]`;

const { values } = parseArgs({
  options: {
    name: { type: "string" },
    owner: { type: "string" },
    email: { type: "string" },
    "time-zone": { type: "string", default: "UTC" },
    sandbox: { type: "boolean", default: false },
    help: { type: "boolean", default: false },
  },
});

if (values.help || !values.name || !values.owner || !values.email) {
  console.log(USAGE);
  process.exit(values.help ? 0 : 2);
}

const config = configured(apiConfig);
const connections = connect(config.databaseUrl, {
  connections: 1,
  onBroken: (error) => console.error(error.message),
});
try {
  const body = requireBody(accountBody, {
    name: values.name,
    sandbox: values.sandbox,
    owner: { name: values.owner, email: values.email, timeZone: values["time-zone"] },
  });
  const { publicId, secretHash, text } = makeApiKey();
  const deps = {
    database: databaseOn(connections),
    ids: uuidv7,
    clock: Date.now,
    mailDomain: mailDomain(config.mailFrom.address),
  };
  const input = { ...body, clock: body.clock ?? null };
  const made = await deps.database.asAccount(uuidv7(), (tx) =>
    createAccount(tx, input, { publicId, secretHash }, deps),
  );
  console.log(JSON.stringify({ accountId: made.account.id, apiKey: text }, null, 2));
} catch (error) {
  if (!(error instanceof Refusal) || error.failure.kind !== "invalid") throw error;
  for (const fault of error.failure.errors) {
    const where = "pointer" in fault ? fault.pointer.replace("#/", "") : "";
    console.error(`${where} ${fault.detail}.`);
  }
  process.exitCode = 1;
} finally {
  await connections.close();
}
