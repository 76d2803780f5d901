import type { NoticeMailView, RenderedMail } from "../../application/views.ts";
import { type Markup, markup } from "../markup.ts";
import { labelled } from "../phrases.ts";
import { type Wording, wordingFor } from "../wording.ts";
import { headerText, noticeHeaders } from "./headers.ts";
import { button, mailPage, stub } from "./html-parts.ts";
import { STYLE } from "./mail-style.ts";

/** What a notice says in its own words, and below it what there is to press or to read. */
interface Told {
  values: Record<string, string>;
  html: Markup;
  text: string;
}

/** A short mail: a link to press, or something that the owner of the account should know. */
export function renderNotice(view: NoticeMailView): RenderedMail {
  const words = wordingFor(view.locale);
  const { code } = view.notice;
  const account = view.accountName;
  const told = toldBy(words, view.notice);
  const values = { account, ...told.values };
  const subject = headerText(words.say(`notice.${code}.subject`, values));
  const heading = words.say(`notice.${code}.heading`, values);
  const body = words.say(`notice.${code}.text`, values);
  const footer = words.say("notice.footer", { account });
  const greeting = words.say("mail.greeting", { name: view.member.name });
  const content = markup`${stub(account, words.say(`notice.${code}.stub`))}
<h1 style="${STYLE.h1}">${heading}</h1>
<p style="${STYLE.p}">${greeting}</p>
<p style="${STYLE.p}">${body}</p>
${told.html}
<p class="quiet rule" style="${STYLE.footer}">${footer}</p>`;
  return {
    subject,
    text: `${[greeting, body, told.text, `-- \n${footer}`].join("\n\n")}\n`,
    html: String(mailPage(words, { subject, opening: body, content })),
    headers: noticeHeaders(words.locale),
    attachments: [],
  };
}

function toldBy(words: Wording, notice: NoticeMailView["notice"]): Told {
  if (notice.code === "addressRefused") {
    const { name, address, answer } = notice;
    const said = words.say("notice.addressRefused.said");
    return {
      values: { name, address },
      html: markup`<p style="${STYLE.p}">${labelled(words, said, answer)}</p>`,
      text: labelled(words, said, answer),
    };
  }
  const label = words.say(`notice.${notice.code}.button`);
  return {
    values: {},
    html: markup`<p style="${STYLE.p}">${button(label, notice.link, true)}</p>`,
    text: `${labelled(words, label, "").trimEnd()}\n${notice.link}`,
  };
}
