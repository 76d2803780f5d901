import type { digest as english } from "../en/digest.ts";
import type { Texts } from "../message-key.ts";

export const digest: Texts<typeof english> = {
  "digest.week": "Semaine du {date}",
  "digest.month": "En {month}",
  "digest.subjectBoth":
    "{due, plural, one {# intervention} other {# interventions}} à faire, {overdue} en retard",
  "digest.subjectDue": "{due, plural, one {# intervention} other {# interventions}} à faire",
  "digest.subjectOverdue":
    "{overdue, plural, one {# intervention} other {# interventions}} en retard",
  "digest.subjectNothing": "rien à faire",
  "digest.both":
    "{due, plural, one {# intervention arrive} other {# interventions arrivent}} à échéance d’ici au {to}, {overdue, plural, one {# est} other {# sont}} en retard.",
  "digest.due":
    "{due, plural, one {# intervention arrive} other {# interventions arrivent}} à échéance d’ici au {to}.",
  "digest.overdue":
    "{overdue, plural, one {# intervention est} other {# interventions sont}} en retard.",
  "digest.nothing": "Rien ne devrait arriver à échéance d’ici au {to}.",
  "digest.next":
    "{jobs, plural, one {# intervention devrait suivre} other {# interventions devraient suivre}} d’ici au {to}, sur {machines, plural, one {# véhicule} other {# véhicules}}.",
  "digest.moreJobs":
    "Et {count, plural, one {# autre intervention} other {# autres interventions}} sur ce véhicule.",
  "digest.moreMachines":
    "La place manque ici pour {machines, plural, one {# autre véhicule} other {# autres véhicules}}, avec {jobs, plural, one {# intervention} other {# interventions}} à faire.",
  "digest.clearUntil":
    "Sur {machines, plural, one {# véhicule} other {# véhicules}}, rien ne devrait arriver à échéance avant le {date}.",
  "digest.clear":
    "Sur {machines, plural, one {# véhicule} other {# véhicules}}, rien n’est en vue.",
  "digest.unforeseen":
    "{count, plural, one {# intervention n’est pas comptée ici : il manque la date de la dernière fois, ou un relevé} other {# interventions ne sont pas comptées ici : il manque la date de la dernière fois, ou un relevé}}.",
  "digest.held": "Relevés à vérifier",
  "digest.heldText":
    "Ils ne correspondent pas à ce que l’on sait du véhicule. Tant que personne ne les confirme ou ne les corrige, aucune estimation n’en tient compte.",
  "digest.heldLine": "{machine} : {value} le {on}",
  "digest.heldLikelier": "{machine} : {value} le {on}, plus probablement {likelier}",
  "digest.silent": "Sans relevé depuis longtemps",
  "digest.silentLine": "{machine} : dernier relevé {value}, le {on}",
  "digest.silentNever": "{machine} : aucun relevé",
  "digest.work": "Interventions notées depuis le {date}",
  "digest.workLine": "{machine} : {titles}, le {on}",
  "digest.undelivered": "Messages non arrivés",
  "digest.undeliveredLine": "À {member} : {answer}",
  "digest.refusedLine": "Rien n’arrive à {member} : {answer}",
  "digest.failedDeliveries":
    "{count, plural, one {# envoi à d’autres programmes a échoué} other {# envois à d’autres programmes ont échoué}}.",
  "digest.footerWeekly": "Le résumé hebdomadaire de {account}.",
  "digest.footerMonthly": "Le résumé mensuel de {account}.",
  "digest.unsubscribe": "Ne plus recevoir d’e-mails, rappels compris",
};
