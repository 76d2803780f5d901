import type { NoticeMailView, RenderedMail } from "../../application/views.ts";
import { markup } from "../markup.ts";
import { wordingFor } from "../wording.ts";
import { headerText, noticeHeaders } from "./headers.ts";
import { button, mailPage, stub } from "./html-parts.ts";
import { STYLE } from "./mail-style.ts";

const KEYS = { confirmAddress: "confirm", freshLink: "fresh" } as const;

/** A short mail with one link: to confirm an address, or in place of a link that has expired. */
export function renderNotice(view: NoticeMailView): RenderedMail {
  const words = wordingFor(view.locale);
  const key = KEYS[view.notice.code];
  const account = view.accountName;
  const subject = headerText(words.say(`mail.${key}Subject`, { account }));
  const heading = words.say(`mail.${key}Heading`);
  const body = words.say(`mail.${key}Text`, { account });
  const label = words.say(`mail.${key}Button`);
  const footer = words.say("mail.noticeFooter", { account });
  const greeting = words.say("mail.greeting", { name: view.member.name });
  const content = markup`${stub(account, heading)}
<h1 style="${STYLE.h1}">${heading}</h1>
<p style="${STYLE.p}">${greeting}</p>
<p style="${STYLE.p}">${body}</p>
<p style="${STYLE.p}">${button(label, view.notice.link, true)}</p>
<p class="quiet rule" style="${STYLE.footer}">${footer}</p>`;
  return {
    subject,
    text: `${[greeting, body, `${label}:\n${view.notice.link}`, `-- \n${footer}`].join("\n\n")}\n`,
    html: String(mailPage(words, { subject, opening: body, content })),
    headers: noticeHeaders(),
    attachments: [],
  };
}
