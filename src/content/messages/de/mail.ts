import type { mail as english } from "../en/mail.ts";
import type { Texts } from "../message-key.ts";

export const mail: Texts<typeof english> = {
  "mail.subjectOne": "{job}, {machine}: {range}",
  "mail.subjectJobs":
    "{count, plural, one {# Arbeit} other {# Arbeiten}} ({machine}), zuerst: {range}",
  "mail.subjectMachines":
    "{count, plural, one {# Arbeit} other {# Arbeiten}} an {machines, plural, one {# Fahrzeug} other {# Fahrzeugen}}, zuerst: {range}",
  "mail.subjectOverdue":
    "{count, plural, one {Toleranz überschritten} other {Bei allen Toleranz überschritten}}: {subject}",
  "mail.subjectAsk": "{machine}: Was zeigt der Tacho?",
  "mail.subjectAskMany":
    "{machines, plural, one {Was zeigt der Tacho von # Fahrzeug?} other {Was zeigen die Tachos von # Fahrzeugen?}}",
  "mail.openingOne": "{machine}: {job}, {range}.",
  "mail.openingMore":
    "Weiter unten: {count, plural, one {# weitere Arbeit} other {# weitere Arbeiten}}.",
  "mail.openingAsk": "{machine}: Bitte melden Sie den Tachostand.",
  "mail.greeting": "Guten Tag {name},",
  "mail.headingMany": "{count, plural, one {# anstehende Arbeit} other {# anstehende Arbeiten}}",
  "mail.stubAhead": "Nächste Arbeit",
  "mail.stubDue": "Jetzt fällig",
  "mail.stubOverdue": "Überfällig",
  "mail.stubMany": "Nächste Arbeiten",
  "mail.stubAsk": "Tachostand gesucht",
  "mail.askHeading": "Was zeigt der Tacho?",
  "mail.askWhy":
    "Ein aktueller Tachostand würde klären, wann die nächste Arbeit fällig wird. Es dauert nur eine Minute.",
  "mail.askToo": "Ein aktueller Tachostand würde diese Termine genauer machen.",
  "mail.postReading": "Tachostand melden",
  "mail.logWork": "Arbeit eintragen",
  "mail.defer": "Aufschieben",
  "mail.subjectAskLayUp": "{machine}: Ist die Stilllegung zu Ende?",
  "mail.subjectOverdueSome":
    "{overdue, plural, one {# Arbeit außerhalb der Toleranz} other {# Arbeiten außerhalb der Toleranz}} · {subject}",
  "mail.openingAskMany":
    "{machines, plural, one {# Fahrzeug} other {# Fahrzeuge}}: Bitte melden Sie die Tachostände.",
  "mail.openingAskLayUp": "{machine}: Bitte sagen Sie, ob die Stilllegung zu Ende ist.",
  "mail.askLayUpHeading": "Ist die Stilllegung zu Ende?",
  "mail.askLayUp":
    "Bisher ist kein Ende eingetragen, und die Saison beginnt. Falls das Fahrzeug wieder in Betrieb ist, sagen Sie bitte, seit wann, und melden Sie den Tachostand.",
  "mail.layUpStart": "Stilllegung beginnen",
  "mail.layUpEnd": "Stilllegung beenden",
  "mail.leftOut":
    "{count, plural, one {# weitere Arbeit ist fällig, für die} other {# weitere Arbeiten sind fällig, für die}} in dieser E-Mail kein Platz ist.",
  "mail.leftOutAsks":
    "{count, plural, one {Auch von # weiteren Fahrzeug fehlt der Tachostand; dafür} other {Auch von # weiteren Fahrzeugen fehlen die Tachostände; dafür}} ist in dieser E-Mail kein Platz.",
  "mail.footer":
    "Gesendet für {account}, weil Sie {machines, plural, one {dieses Fahrzeug} other {diese Fahrzeuge}} betreuen.",
  "mail.unsubscribe": "E-Mails abbestellen",
  "mail.estimate":
    "Die Termine sind aus den bisher gemeldeten Tachoständen geschätzt (Stand: {today}).",
  "notice.confirmAddress.subject": "Bitte bestätigen Sie Ihre Adresse für {account}",
  "notice.confirmAddress.stub": "Ihre Adresse",
  "notice.confirmAddress.heading": "Ist das Ihre Adresse?",
  "notice.confirmAddress.text":
    "{account} möchte Ihnen Erinnerungen an fällige Wartungsarbeiten senden. Vor Ihrer Bestätigung wird nichts gesendet. Wenn Sie nicht wissen, wer hier fragt, lassen Sie diese E-Mail unbeachtet.",
  "notice.confirmAddress.button": "Adresse bestätigen",
  "notice.freshLink.subject": "Ihr neuer Link für {account}",
  "notice.freshLink.stub": "Ihr Link",
  "notice.freshLink.heading": "Hier ist Ihr neuer Link",
  "notice.freshLink.text":
    "Der Link, den Sie geöffnet haben, war abgelaufen. Dieser funktioniert wieder.",
  "notice.freshLink.button": "Link öffnen",
  "notice.addressRefused.subject": "{name} ist per E-Mail nicht erreichbar",
  "notice.addressRefused.stub": "Unzustellbar",
  "notice.addressRefused.heading": "E-Mails an {name} kommen zurück",
  "notice.addressRefused.text":
    "Der Mailserver von {address} kennt dieses Postfach nicht, deshalb geht an {name} dort nichts mehr hinaus. Bitte tragen Sie für {name} eine andere Adresse ein; bis dahin erreichen Erinnerungen für {name} niemanden.",
  "notice.addressRefused.said": "Was der Mailserver sagte",
  "notice.footer": "Gesendet für {account}.",
  "calendar.summary": "{job}, {machine}",
  "calendar.description":
    "{sentence} Dieser Tag ist die Mitte des Wahrscheinlichen, kein fester Termin.",
  "calendar.feedSummary": "{job} · {machine}",
  "calendar.feedOverdue": "{job} · {machine} (überfällig)",
  "calendar.feedFirst": "{limits}, je nachdem, was zuerst eintritt.",
  "calendar.feedLast": "{limits}, je nachdem, was zuletzt eintritt.",
  "calendar.feedForecast":
    "Prognose vom {date}. Der Tag verschiebt sich mit dem, was der Tacho zeigt; er ist kein fester Termin.",
};
