import type { NoticeMailView, RenderedMail } from "../../application/views.ts";
import { markup } from "../markup.ts";
import { labelled } from "../phrases.ts";
import { wordingFor } from "../wording.ts";
import { headerText, noticeHeaders } from "./headers.ts";
import { button, mailPage, stub } from "./html-parts.ts";
import { STYLE } from "./mail-style.ts";

/** A short mail with one link: to confirm an address, or in place of a link that has expired. */
export function renderNotice(view: NoticeMailView): RenderedMail {
  const words = wordingFor(view.locale);
  const { code, link } = view.notice;
  const account = view.accountName;
  const subject = headerText(words.say(`notice.${code}.subject`, { account }));
  const heading = words.say(`notice.${code}.heading`);
  const body = words.say(`notice.${code}.text`, { account });
  const label = words.say(`notice.${code}.button`);
  const footer = words.say("notice.footer", { account });
  const greeting = words.say("mail.greeting", { name: view.member.name });
  const content = markup`${stub(account, heading)}
<h1 style="${STYLE.h1}">${heading}</h1>
<p style="${STYLE.p}">${greeting}</p>
<p style="${STYLE.p}">${body}</p>
<p style="${STYLE.p}">${button(label, link, true)}</p>
<p class="quiet rule" style="${STYLE.footer}">${footer}</p>`;
  return {
    subject,
    text: `${[greeting, body, `${labelled(words, label, "").trimEnd()}\n${link}`, `-- \n${footer}`].join("\n\n")}\n`,
    html: String(mailPage(words, { subject, opening: body, content })),
    headers: noticeHeaders(),
    attachments: [],
  };
}
