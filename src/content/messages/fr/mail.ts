import type { mail as english } from "../en/mail.ts";
import type { Texts } from "../message-key.ts";

export const mail: Texts<typeof english> = {
  "mail.subjectOne": "{job}, {machine} : {range}",
  "mail.subjectJobs":
    "{count, plural, one {# intervention} other {# interventions}} ({machine}), la première : {range}",
  "mail.subjectMachines":
    "{count, plural, one {# intervention} other {# interventions}} sur {machines, plural, one {# véhicule} other {# véhicules}}, la première : {range}",
  "mail.subjectOverdue":
    "{count, plural, one {Tolérance dépassée} other {Tolérance dépassée pour toutes}} : {subject}",
  "mail.subjectAsk": "{machine} : qu’affiche le compteur ?",
  "mail.subjectAskMany":
    "{machines, plural, one {Qu’affiche le compteur de # véhicule ?} other {Qu’affichent les compteurs de # véhicules ?}}",
  "mail.openingOne": "{machine} : {job}, {range}.",
  "mail.openingMore":
    "Et {count, plural, one {# autre intervention} other {# autres interventions}} ci-dessous.",
  "mail.openingAsk": "{machine} : merci d’envoyer un relevé.",
  "mail.greeting": "Bonjour {name},",
  "mail.headingMany":
    "{count, plural, one {# intervention à prévoir} other {# interventions à prévoir}}",
  "mail.stubAhead": "À venir",
  "mail.stubDue": "À faire",
  "mail.stubOverdue": "Tolérance dépassée",
  "mail.stubMany": "À prévoir",
  "mail.stubAsk": "Relevé souhaité",
  "mail.askHeading": "Qu’affiche le compteur ?",
  "mail.askWhy":
    "Un relevé actuel permettrait de savoir quand la prochaine intervention arrive à échéance. Cela prend une minute.",
  "mail.askToo": "Un relevé actuel rendrait ces dates plus sûres.",
  "mail.postReading": "Envoyer un relevé",
  "mail.logWork": "Noter l’intervention",
  "mail.defer": "Reporter",
  "mail.subjectAskLayUp": "{machine} : le remisage est-il terminé ?",
  "mail.subjectOverdueSome":
    "{overdue, plural, one {# intervention hors tolérance} other {# interventions hors tolérance}} · {subject}",
  "mail.openingAskMany":
    "{machines, plural, one {# véhicule} other {# véhicules}} : merci d’envoyer les relevés.",
  "mail.openingAskLayUp": "{machine} : merci de dire si le remisage est terminé.",
  "mail.askLayUpHeading": "Le remisage est-il terminé ?",
  "mail.askLayUp":
    "Aucune fin n’est notée pour l’instant, et la saison commence. Si le véhicule roule de nouveau, dites depuis quand et envoyez ce qu’affiche le compteur.",
  "mail.layUpStart": "Noter un remisage",
  "mail.layUpEnd": "Terminer le remisage",
  "mail.leftOut":
    "{count, plural, one {# autre intervention est à faire, pour laquelle} other {# autres interventions sont à faire, pour lesquelles}} la place manque dans ce message.",
  "mail.leftOutAsks":
    "{count, plural, one {Un relevé est aussi souhaité pour # autre véhicule, pour lequel} other {Des relevés sont aussi souhaités pour # autres véhicules, pour lesquels}} la place manque dans ce message.",
  "mail.footer":
    "Envoyé pour {account}, car vous vous occupez de {machines, plural, one {ce véhicule} other {ces véhicules}}.",
  "mail.unsubscribe": "Ne plus recevoir ces e-mails",
  "mail.estimate": "Les dates sont estimées d’après les relevés reçus, au {today}.",
  "notice.confirmAddress.subject": "Merci de confirmer votre adresse pour {account}",
  "notice.confirmAddress.stub": "Votre adresse",
  "notice.confirmAddress.heading": "Est-ce bien votre adresse ?",
  "notice.confirmAddress.text":
    "{account} souhaite vous envoyer des rappels d’entretien. Rien n’est envoyé avant votre confirmation. Si vous ne savez pas d’où vient cette demande, ne tenez pas compte de ce message.",
  "notice.confirmAddress.button": "Confirmer l’adresse",
  "notice.freshLink.subject": "Votre nouveau lien pour {account}",
  "notice.freshLink.stub": "Votre lien",
  "notice.freshLink.heading": "Voici votre nouveau lien",
  "notice.freshLink.text": "Le lien que vous avez ouvert avait expiré. Celui-ci fonctionne.",
  "notice.freshLink.button": "Ouvrir le lien",
  "notice.addressRefused.subject": "{name} n’est pas joignable par e-mail",
  "notice.addressRefused.stub": "E-mail refusé",
  "notice.addressRefused.heading": "Les e-mails pour {name} sont refusés",
  "notice.addressRefused.text":
    "Le serveur de messagerie de {address} ne connaît pas cette boîte ; plus rien n’y est envoyé à {name}. Merci d’indiquer une autre adresse pour {name} ; d’ici là, les rappels destinés à {name} n’arrivent à personne.",
  "notice.addressRefused.said": "Ce que dit le serveur de messagerie",
  "notice.footer": "Envoyé pour {account}.",
  "calendar.summary": "{job}, {machine}",
  "calendar.description":
    "{sentence} Ce jour est le milieu de ce qui est probable, pas un rendez-vous.",
  "calendar.feedSummary": "{job} · {machine}",
  "calendar.feedOverdue": "{job} · {machine} (en retard)",
  "calendar.feedFirst": "{limits}, à la première échéance atteinte.",
  "calendar.feedLast": "{limits}, à la dernière échéance atteinte.",
  "calendar.feedForecast":
    "Prévision du {date}. Le jour se déplace avec ce que montre le compteur ; ce n’est pas un rendez-vous.",
};
