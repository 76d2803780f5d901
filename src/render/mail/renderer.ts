import type { MailRenderer } from "../../application/mail/prepare-message.ts";
import { reminderCalendar } from "../calendar.ts";
import { wordingFor } from "../wording.ts";
import { renderDigest } from "./digest.ts";
import { reminderHeaders } from "./headers.ts";
import { reminderHtml } from "./html.ts";
import { renderNotice } from "./notice.ts";
import { fitting } from "./selection.ts";
import { subjectOf } from "./subject.ts";
import { reminderText } from "./text.ts";

/** Mail as members read it, in their language: subject, text, HTML, headers and calendar. */
export const mailRenderer: MailRenderer = {
  reminder(view, thread, now) {
    const words = wordingFor(view.locale);
    const { selection, rendered: html } = fitting(view, (some) => reminderHtml(words, some, view));
    const calendar = reminderCalendar(view, thread.domain, now);
    return {
      subject: subjectOf(words, view),
      text: reminderText(words, selection),
      html,
      headers: reminderHeaders(view, thread, words.locale),
      attachments:
        calendar === null
          ? []
          : [
              {
                filename: "due-dates.ics",
                contentType: "text/calendar; charset=utf-8; method=PUBLISH",
                content: calendar,
              },
            ],
    };
  },
  notice: renderNotice,
  digest: renderDigest,
};
