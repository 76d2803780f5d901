/** One risk of an API, what is done about it here, and what is left to whoever calls. */
export interface SecurityPoint {
  /** As in the OWASP API Security Top 10 of 2023 (owasp.org/API-Security/editions/2023/en/0x11-t10). */
  readonly id: string;
  /** The risk's name there. */
  readonly title: string;
  /** What could go wrong. */
  readonly risk: string;
  /** What the service does about it. */
  readonly does: readonly string[];
  /** What the caller, or whoever runs the service, must do. */
  readonly must: readonly string[];
  /** Tests that show it, as paths from the top of the project. */
  readonly tests: readonly string[];
}

const OWN = "test/faults/owasp.test.ts";

/** In the order of that list. A test holds it equal to the tests. */
export const SECURITY: readonly SecurityPoint[] = [
  {
    id: "API1:2023",
    title: "Broken Object Level Authorization",
    risk: "A caller puts somebody else's id into the address and gets what is behind it.",
    does: [
      "PostgreSQL itself shows a transaction the rows of one account: row-level security is forced on every table, and the service connects as a role that owns none of them.",
      "A key that is bound to a member or to vehicles sees only theirs. An id that it may not see is answered exactly like one that does not exist.",
    ],
    must: [
      "Bind a key to what it is for: the phone of one rider to that rider, a terminal to its vehicles.",
    ],
    tests: [OWN, "test/faults/who-gets-in.test.ts", "test/database/row-level-security.test.ts"],
  },
  {
    id: "API2:2023",
    title: "Broken Authentication",
    risk: "A key is guessed, stolen, or works longer than it should.",
    does: [
      "A key has a secret of 256 random bits, of which only the SHA-256 is stored, and is compared in constant time. It is shown once and stands in no log.",
      "Keys expire, are rotated with an overlap and revoked at once. After 300 refused keys in a minute no more are looked up for an address, over all processes.",
      "A page in a browser gets a key for minutes, with no more rights than the key that made it.",
    ],
    must: [
      "Keep keys on servers, and give browsers short-lived ones from /v1/api-keys/short-lived.",
      "Give each use a key of its own with the scopes that it needs, and revoke it when the use ends.",
    ],
    tests: [OWN, "test/acceptance/short-lived-keys.test.ts", "test/faults/secrets-in-logs.test.ts"],
  },
  {
    id: "API3:2023",
    title: "Broken Object Property Level Authorization",
    risk: "A caller sets a field that is not theirs to set, or reads one that is not theirs to see.",
    does: [
      "Every body is checked against its schema. A field that is not in it is refused by name and never passed on.",
      "Answers are made field by field, never from the row as it is stored. Costs are left out for riders and mechanics.",
    ],
    must: ["Treat a refused field as a fault of the program: it is never ignored in silence."],
    tests: [OWN, "test/faults/hostile-bodies.test.ts"],
  },
  {
    id: "API4:2023",
    title: "Unrestricted Resource Consumption",
    risk: "One caller uses up what all of them need.",
    does: [
      "100 requests a second for each key and for each address without one, counted over all processes; RateLimit tells what is left, and 429 says when to come again.",
      "Bodies, headers, ids, pages, lists within a body and times are bounded. Long forecasts are worked out beside the event loop.",
    ],
    must: [
      "Wait as long as Retry-After says. Follow /v1/events instead of asking every machine again.",
      "Set RATE_PER_KEY to what your database carries.",
    ],
    tests: [
      OWN,
      "test/acceptance/rates-together.test.ts",
      "test/acceptance/long-forecasts.test.ts",
    ],
  },
  {
    id: "API5:2023",
    title: "Broken Function Level Authorization",
    risk: "A caller uses a function that is meant for others, such as making keys.",
    does: [
      "Each operation names the scope that it needs, and the description shows it. No route is without one, an operator's token, or a word that it is open.",
      "Beyond the scope the member's role counts, and a key that is bound to vehicles administers nothing. No key hands out a scope that it lacks.",
    ],
    must: ["Keep the scope admin for what administers, and the operator's token off every client."],
    tests: [OWN, "test/acceptance/bound-keys.test.ts", "test/faults/who-gets-in.test.ts"],
  },
  {
    id: "API6:2023",
    title: "Unrestricted Access to Sensitive Business Flows",
    risk: "A program does a thousand times what a person would do once: here, have strangers mailed.",
    does: [
      "No reminder goes to an address until its owner has confirmed it, or somebody who administers the account has vouched for it. An invitation mails it once.",
      "The links in a mail change nothing when they are opened, and each form counts once.",
    ],
    must: ["Vouch only for addresses that you know, and invite the others."],
    tests: [OWN, "test/acceptance/mailed-links.test.ts", "test/faults/tampered-links.test.ts"],
  },
  {
    id: "API7:2023",
    title: "Server Side Request Forgery",
    risk: "The service is made to fetch an address inside the network that it runs in.",
    does: [
      "The only addresses that it calls for others are those of webhooks. They must be https: and public: judged as text, after the look-up and at the moment of connecting. Redirects are not followed.",
      "Of an answer 64 KiB are read, and a short part is kept.",
    ],
    must: ["Leave WEBHOOK_ALLOW_PRIVATE at no where others have keys."],
    tests: [OWN, "test/outbound/webhook-sender.test.ts"],
  },
  {
    id: "API8:2023",
    title: "Security Misconfiguration",
    risk: "A default is left open, an error says too much, a header is missing.",
    does: [
      "It does not start with a weak secret, a role that row-level security does not bind, or a setting that it cannot read.",
      "Every answer carries its security headers, failures included. A failure of its own says nothing but the request's id.",
      "No web page may read an answer until the account of its key lists the page's origin. A browser sends no cookie that would let a page in: without a key it is nobody.",
    ],
    must: [
      "Put it behind TLS, and list the origins of your dashboards in allowedOrigins.",
      "Send logs where only those who run the service read them.",
    ],
    tests: [OWN, "test/acceptance/allowed-origins.test.ts", "test/config.test.ts"],
  },
  {
    id: "API9:2023",
    title: "Improper Inventory Management",
    risk: "An old or forgotten route is served that nobody looks after.",
    does: [
      "Routes and description are made from the same contracts: what is served stands in /openapi.json, and what stands there is served.",
      "There is one version, /v1, to which changes are additive.",
    ],
    must: ["Read openapi/changes.md before an update, and take down what you no longer run."],
    tests: [OWN, "test/openapi/description.test.ts"],
  },
  {
    id: "API10:2023",
    title: "Unsafe Consumption of APIs",
    risk: "What other servers answer is trusted: a mail server's words, a webhook receiver's page.",
    does: [
      "Answers of mail servers and webhook receivers are cut short and put on one line before they are kept. Shown in a page or a mail, they are escaped.",
      "They decide only whether a delivery is tried again. Names and addresses never add a recipient or a header.",
    ],
    must: ["Check the signature of every webhook before you believe it."],
    tests: [OWN, "test/outbound/smtp-sender.test.ts", "test/published/standard-webhooks.test.ts"],
  },
];
