import { html } from "hono/html";
import type { MailMessage } from "./mailbox-store.ts";

type Markup = ReturnType<typeof html>;

const STYLE = `:root{--paper:#fbfaf5;--ink:#1d2226;--quiet:#5a5f63;--rule:#8d887b;--hair:#dcd7ca;--accent:#0b5a60}
@media (prefers-color-scheme:dark){:root{--paper:#14181a;--ink:#ece8df;--quiet:#a9adaf;--rule:#8d918f;--hair:#343a3d;--accent:#82cfc9}}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:17px/1.5 system-ui,sans-serif;font-variant-numeric:tabular-nums}
main{max-width:36rem;margin:0 auto;padding:1.25rem 1rem 3rem}
header{display:flex;justify-content:space-between;gap:1rem;border-bottom:2px solid var(--ink);padding-bottom:.35rem;margin-bottom:1rem;font-size:.875rem}
h1{font-size:1.45rem;line-height:1.2;margin:.2rem 0 .6rem;font-weight:650;overflow-wrap:anywhere}
h2{font-size:1.05rem;margin:1.6rem 0 .4rem;font-weight:650}
a{color:var(--accent)}
p,li,dd,pre{overflow-wrap:anywhere}
.quiet{color:var(--quiet)}
ol{list-style:none;margin:0;padding:0}
li{border-bottom:1px solid var(--hair)}
li a{display:block;padding:.6rem 0;min-height:44px;text-decoration:none}
li a b{display:block;font-weight:650}
li a span{color:var(--quiet);font-size:.875rem}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.15rem .8rem;margin:0 0 1rem}
dt{color:var(--quiet)}dd{margin:0}
iframe{width:100%;height:34rem;border:1px solid var(--rule);background:#fff}
pre{white-space:pre-wrap;font:.9rem/1.5 ui-monospace,monospace;border-top:1px solid var(--hair);padding-top:.6rem;margin:0}
summary{min-height:44px;padding:.6rem 0;cursor:pointer}
@media print{iframe{height:60rem}}`;

function page(title: string, right: string, body: Markup): Markup {
  return html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta name="color-scheme" content="light dark"><title>${title}</title><style>${STYLE}</style></head>
<body><main><header><span>Local mailbox</span><span>${right}</span></header>${body}</main></body></html>
`;
}

/** The list of messages, newest first. */
export function listPage(messages: readonly MailMessage[]): Markup {
  const count = messages.length === 1 ? "1 message" : `${messages.length} messages`;
  return page(
    "Local mailbox",
    count,
    html`<h1>What was mailed</h1>
<p class="quiet">Nothing here leaves this machine. <a href="/">Look again</a></p>
${
  messages.length === 0
    ? html`<p>Nothing has arrived yet.</p>`
    : html`<ol>${[...messages].reverse().map(entry)}</ol>`
}`,
  );
}

function entry(message: MailMessage): Markup {
  return html`<li><a href="/read/${message.id}"><b>${message.subject || "(no subject)"}</b>
<span>to ${message.envelopeTo.join(", ")}, ${at(message)}</span></a></li>`;
}

/** One message: what it says as HTML and as text, its files and its headers. */
export function messagePage(message: MailMessage): Markup {
  return page(
    message.subject || "(no subject)",
    at(message),
    html`<p><a href="/">All messages</a></p>
<h1>${message.subject || "(no subject)"}</h1>
<dl><dt>From</dt><dd>${message.from}</dd><dt>To</dt><dd>${message.to}</dd>
<dt>Delivered to</dt><dd>${message.envelopeTo.join(", ")}</dd></dl>
${
  message.html === undefined
    ? ""
    : html`<iframe title="The message as HTML" src="/messages/${message.id}/html" sandbox="allow-popups allow-popups-to-escape-sandbox"></iframe>`
}
<h2>As plain text</h2><pre>${message.text}</pre>
${files(message)}
<details><summary>Headers</summary><pre>${headerText(message)}</pre></details>
<p><a href="/messages/${message.id}/raw" download>The message as a file</a></p>`,
  );
}

function files(message: MailMessage): Markup | "" {
  if (message.attachments.length === 0) return "";
  return html`<h2>Attachments</h2><ol>${message.attachments.map(
    ({ filename, contentType, content }, index) =>
      html`<li><a href="/messages/${message.id}/attachments/${index}" download><b>${filename}</b>
<span>${contentType}, ${content.length} bytes</span></a></li>`,
  )}</ol>`;
}

/** What stands at an address where no message is. */
export function missingPage(): Markup {
  return page(
    "Not here",
    "",
    html`<h1>No such message</h1>
<p>The mailbox keeps the last 500. <a href="/">All messages</a></p>`,
  );
}

function at(message: MailMessage): string {
  return `${message.receivedAt.toISOString().slice(0, 19).replace("T", " ")} UTC`;
}

function headerText(message: MailMessage): string {
  return Object.entries(message.headers)
    .flatMap(([name, values]) => values.map((value) => `${name}: ${value}`))
    .join("\n");
}

/**
 * The message's own HTML for the frame: links open outside it, and pictures that came along are
 * taken from the mailbox.
 */
export function framedHtml(message: MailMessage): string {
  const own = (message.html ?? "").replaceAll(/\bcid:([^"'\s)>]+)/g, (whole, cid: string) => {
    const index = message.attachments.findIndex(({ contentId }) => contentId === decoded(cid));
    return index < 0 ? whole : `/messages/${message.id}/attachments/${index}`;
  });
  const base = '<base target="_blank">';
  return /<head\b[^>]*>/i.test(own)
    ? own.replace(/<head\b[^>]*>/i, (head) => head + base)
    : base + own;
}

function decoded(cid: string): string {
  try {
    return decodeURIComponent(cid);
  } catch {
    return cid;
  }
}
