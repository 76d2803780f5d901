import type { Part } from "./guide.ts";

/** What the commands of all guides take for granted. */
export const BEGIN: readonly Part[] = [
  {
    say: "The guides work with the service that `npm run up` starts. These lines, entered once in a shell, tell where it is and shorten what follows. They need curl and Node.",
  },
  {
    run: `up() { node -p "JSON.parse(require('fs').readFileSync('.local/up.json'))['$1']"; }
export API=$(up baseUrl) OPERATOR=$(up operatorToken)
json() { node -p "JSON.parse(require('fs').readFileSync(0))$1"; }
get() { curl -s "$API$1" -H "Authorization: Bearer $KEY"; }
post() { curl -s "$API$1" -H "Authorization: Bearer $KEY" -H 'Content-Type: application/json' -d "$2"; }`,
  },
  {
    say: "Each guide makes an account of its own to be tried in: a sandbox, whose mail is kept and not sent. All names and figures are invented. Every command and program shown here is run by the service's tests, and what it prints is compared.",
  },
];

/** Makes a sandbox of that name and sets `KEY`, which may do everything in it. */
export function sandboxNamed(name: string, clock: string | null = "2026-05-01T08:00:00Z"): Part {
  const time = clock === null ? "" : ` "clock": "${clock}",`;
  return {
    run: `export KEY=$(curl -s $API/v1/accounts -H "Authorization: Bearer $OPERATOR" -H 'Content-Type: application/json' -d '{
  "name": "${name}", "sandbox": true,${time}
  "owner": { "name": "Robin", "email": "robin@example.org", "timeZone": "Europe/Berlin" } }' | json .apiKey.key)`,
  };
}
