import type { digest as english } from "../en/digest.ts";
import type { Texts } from "../message-key.ts";

export const digest: Texts<typeof english> = {
  "digest.week": "Semana del {date}",
  "digest.month": "En {month}",
  "digest.subjectBoth":
    "{due, plural, one {# trabajo pendiente} other {# trabajos pendientes}}, {overdue} fuera de plazo",
  "digest.subjectDue": "{due, plural, one {# trabajo pendiente} other {# trabajos pendientes}}",
  "digest.subjectOverdue": "{overdue, plural, one {# trabajo} other {# trabajos}} fuera de plazo",
  "digest.subjectNothing": "nada pendiente",
  "digest.both":
    "{due, plural, one {# trabajo vence} other {# trabajos vencen}} hasta el {to}, {overdue, plural, one {# está} other {# están}} fuera de plazo.",
  "digest.due": "{due, plural, one {# trabajo vence} other {# trabajos vencen}} hasta el {to}.",
  "digest.overdue":
    "{overdue, plural, one {# trabajo está} other {# trabajos están}} fuera de plazo.",
  "digest.nothing": "Es probable que no venza nada hasta el {to}.",
  "digest.next":
    "Hasta el {to} {jobs, plural, one {vencerá probablemente # trabajo} other {vencerán probablemente # trabajos}}, en {machines, plural, one {# vehículo} other {# vehículos}}.",
  "digest.moreJobs":
    "Y {count, plural, one {# trabajo más} other {# trabajos más}} en este vehículo.",
  "digest.moreMachines":
    "También {machines, plural, one {# vehículo más tiene} other {# vehículos más tienen}} {jobs, plural, one {# trabajo pendiente} other {# trabajos pendientes}} que no {jobs, plural, one {cabe} other {caben}} en este correo.",
  "digest.clearUntil":
    "En {machines, plural, one {# vehículo} other {# vehículos}} es probable que no venza nada antes del {date}.",
  "digest.clear":
    "En {machines, plural, one {# vehículo} other {# vehículos}} no hay nada a la vista.",
  "digest.unforeseen":
    "{count, plural, one {# trabajo no se cuenta aquí: falta saber cuándo se hizo por última vez, o una lectura} other {# trabajos no se cuentan aquí: falta saber cuándo se hicieron por última vez, o una lectura}}.",
  "digest.held": "Lecturas por revisar",
  "digest.heldText":
    "No encajan con lo que se sabe del vehículo. Hasta que alguien las confirme o corrija, ninguna estimación las usa.",
  "digest.heldLine": "{machine}: {value} el {on}",
  "digest.heldLikelier": "{machine}: {value} el {on}, más probable {likelier}",
  "digest.silent": "Mucho tiempo sin lectura",
  "digest.silentLine": "{machine}: la última, {value} el {on}",
  "digest.silentNever": "{machine}: ninguna lectura todavía",
  "digest.work": "Trabajos anotados desde el {date}",
  "digest.workLine": "{machine}: {titles}, el {on}",
  "digest.undelivered": "Correos que no llegaron",
  "digest.undeliveredLine": "Para {member}: {answer}",
  "digest.refusedLine": "Nada llega a {member}: {answer}",
  "digest.failedDeliveries":
    "{count, plural, one {# envío a otros programas ha fallado} other {# envíos a otros programas han fallado}}.",
  "digest.footerWeekly": "El resumen semanal de {account}.",
  "digest.footerMonthly": "El resumen mensual de {account}.",
  "digest.unsubscribe": "Dejar de recibir todos los correos, también los avisos",
};
