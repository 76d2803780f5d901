import type { digest as english } from "../en/digest.ts";
import type { Texts } from "../message-key.ts";

export const digest: Texts<typeof english> = {
  "digest.week": "Woche ab {date}",
  "digest.month": "Im {month}",
  "digest.subjectBoth":
    "{due, plural, one {# Arbeit} other {# Arbeiten}} fällig, {overdue} überfällig",
  "digest.subjectDue": "{due, plural, one {# Arbeit} other {# Arbeiten}} fällig",
  "digest.subjectOverdue": "{overdue, plural, one {# Arbeit} other {# Arbeiten}} überfällig",
  "digest.subjectNothing": "nichts fällig",
  "digest.both":
    "{due, plural, one {# Arbeit wird} other {# Arbeiten werden}} bis zum {to} fällig, {overdue, plural, one {# ist} other {# sind}} überfällig.",
  "digest.due": "{due, plural, one {# Arbeit wird} other {# Arbeiten werden}} bis zum {to} fällig.",
  "digest.overdue": "{overdue, plural, one {# Arbeit ist} other {# Arbeiten sind}} überfällig.",
  "digest.nothing": "Bis zum {to} wird voraussichtlich nichts fällig.",
  "digest.next":
    "Bis zum {to} {jobs, plural, one {folgt voraussichtlich # Arbeit} other {folgen voraussichtlich # Arbeiten}}, an {machines, plural, one {# Fahrzeug} other {# Fahrzeugen}}.",
  "digest.moreJobs":
    "Dazu {count, plural, one {# weitere Arbeit} other {# weitere Arbeiten}} an diesem Fahrzeug.",
  "digest.moreMachines":
    "Auch an {machines, plural, one {# weiteren Fahrzeug} other {# weiteren Fahrzeugen}} {jobs, plural, one {ist # Arbeit} other {sind # Arbeiten}} fällig; hier fehlt dafür der Platz.",
  "digest.clearUntil":
    "An {machines, plural, one {# Fahrzeug} other {# Fahrzeugen}} wird vor dem {date} voraussichtlich nichts fällig.",
  "digest.clear":
    "An {machines, plural, one {# Fahrzeug} other {# Fahrzeugen}} ist nichts in Sicht.",
  "digest.unforeseen":
    "{count, plural, one {# Arbeit ist hier nicht mitgezählt: Es fehlt, wann sie zuletzt gemacht wurde, oder ein Tachostand} other {# Arbeiten sind hier nicht mitgezählt: Es fehlt, wann sie zuletzt gemacht wurden, oder ein Tachostand}}.",
  "digest.held": "Tachostände zum Nachsehen",
  "digest.heldText":
    "Sie passen nicht zu dem, was über das Fahrzeug bekannt ist. Bis jemand sie bestätigt oder berichtigt, zählen sie in keiner Schätzung mit.",
  "digest.heldLine": "{machine}: {value} am {on}",
  "digest.heldLikelier": "{machine}: {value} am {on}, wahrscheinlicher {likelier}",
  "digest.silent": "Lange kein Tachostand",
  "digest.silentLine": "{machine}: zuletzt {value} am {on}",
  "digest.silentNever": "{machine}: noch nie gemeldet",
  "digest.work": "Seit dem {date} eingetragene Arbeiten",
  "digest.workLine": "{machine}: {titles}, am {on}",
  "digest.undelivered": "E-Mails, die nicht ankamen",
  "digest.undeliveredLine": "An {member}: {answer}",
  "digest.refusedLine": "{member} ist nicht zu erreichen: {answer}",
  "digest.failedDeliveries":
    "{count, plural, one {# Meldung an andere Programme kam} other {# Meldungen an andere Programme kamen}} nicht an.",
  "digest.footerWeekly": "Die Wochenübersicht von {account}.",
  "digest.footerMonthly": "Die Monatsübersicht von {account}.",
  "digest.unsubscribe": "Alle E-Mails abbestellen, auch Erinnerungen",
};
