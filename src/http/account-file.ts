/** Lines of JSON, one value each. */
export const JSON_LINES = "application/x-ndjson";

/** Version of the file of an account. */
export const ACCOUNT_FORMAT = 1;

/** The file of an account in which nothing is, as an example. */
export const EMPTY_ACCOUNT = `{"format":${ACCOUNT_FORMAT},"account":{"name":"Harbour","sandbox":false,"clock":null}}\n{"end":true,"rows":0}\n`;
