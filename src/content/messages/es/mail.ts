import type { mail as english } from "../en/mail.ts";
import type { Texts } from "../message-key.ts";

export const mail: Texts<typeof english> = {
  "mail.subjectOne": "{job}, {machine}: {range}",
  "mail.subjectJobs":
    "{count, plural, one {# trabajo} other {# trabajos}} ({machine}), el primero: {range}",
  "mail.subjectMachines":
    "{count, plural, one {# trabajo} other {# trabajos}} en {machines, plural, one {# vehículo} other {# vehículos}}, el primero: {range}",
  "mail.subjectOverdue":
    "{count, plural, one {Fuera de margen} other {Todos fuera de margen}}: {subject}",
  "mail.subjectAsk": "{machine}: ¿qué marca el odómetro?",
  "mail.subjectAskMany":
    "{machines, plural, one {¿Qué marca el odómetro de # vehículo?} other {¿Qué marcan los odómetros de # vehículos?}}",
  "mail.openingOne": "{machine}: {job}, {range}.",
  "mail.openingMore":
    "Y {count, plural, one {# trabajo más} other {# trabajos más}} a continuación.",
  "mail.openingAsk": "{machine}: envíe una lectura, por favor.",
  "mail.greeting": "Hola, {name}:",
  "mail.headingMany": "{count, plural, one {# trabajo por hacer} other {# trabajos por hacer}}",
  "mail.stubAhead": "Próximo trabajo",
  "mail.stubDue": "Pendiente ahora",
  "mail.stubOverdue": "Fuera de margen",
  "mail.stubMany": "Próximos trabajos",
  "mail.stubAsk": "Falta una lectura",
  "mail.askHeading": "¿Qué marca el odómetro?",
  "mail.askWhy":
    "Una lectura actual aclararía cuándo toca el próximo trabajo. Solo lleva un minuto.",
  "mail.askToo": "Una lectura actual haría más seguras estas fechas.",
  "mail.postReading": "Enviar una lectura",
  "mail.logWork": "Anotar el trabajo",
  "mail.defer": "Aplazar",
  "mail.subjectAskLayUp": "{machine}: ¿ha terminado la parada?",
  "mail.subjectOverdueSome":
    "{overdue, plural, one {# trabajo fuera de margen} other {# trabajos fuera de margen}} · {subject}",
  "mail.openingAskMany":
    "{machines, plural, one {# vehículo} other {# vehículos}}: envíe las lecturas, por favor.",
  "mail.openingAskLayUp": "{machine}: díganos, por favor, si la parada ha terminado.",
  "mail.askLayUpHeading": "¿Ha terminado la parada?",
  "mail.askLayUp":
    "La parada todavía no tiene fecha de fin y empieza la temporada. Si el vehículo vuelve a usarse, indique desde cuándo y lo que marca el odómetro.",
  "mail.layUpStart": "Iniciar una parada",
  "mail.layUpEnd": "Terminar la parada",
  "mail.leftOut":
    "{count, plural, one {Hay # trabajo pendiente más que no cabe} other {Hay # trabajos pendientes más que no caben}} en este correo.",
  "mail.leftOutAsks":
    "{count, plural, one {Falta también la lectura de # vehículo más, que no cabe} other {Faltan también las lecturas de # vehículos más, que no caben}} en este correo.",
  "mail.footer":
    "Enviado en nombre de {account} porque usted se ocupa de {machines, plural, one {este vehículo} other {estos vehículos}}.",
  "mail.unsubscribe": "No recibir más correos",
  "mail.estimate": "Las fechas son estimaciones a partir de las lecturas recibidas, a {today}.",
  "notice.confirmAddress.subject": "Confirme su dirección para {account}",
  "notice.confirmAddress.stub": "Su dirección",
  "notice.confirmAddress.heading": "¿Es esta su dirección?",
  "notice.confirmAddress.text":
    "{account} desea enviarle recordatorios de los trabajos de mantenimiento pendientes. No se enviará nada antes de que usted lo confirme. Si no sabe quién lo pide, no haga caso de este correo.",
  "notice.confirmAddress.button": "Confirmar la dirección",
  "notice.freshLink.subject": "Su nuevo enlace para {account}",
  "notice.freshLink.stub": "Su enlace",
  "notice.freshLink.heading": "Aquí tiene su nuevo enlace",
  "notice.freshLink.text": "El enlace que abrió había caducado. Este vuelve a funcionar.",
  "notice.freshLink.button": "Abrir el enlace",
  "notice.addressRefused.subject": "No se puede escribir a {name}",
  "notice.addressRefused.stub": "Correo devuelto",
  "notice.addressRefused.heading": "El correo para {name} se devuelve",
  "notice.addressRefused.text":
    "El servidor de correo de {address} no conoce ese buzón, así que ya no se envía nada a {name} a esa dirección. Indique otra dirección para {name}; hasta entonces, los avisos para {name} no llegan a nadie.",
  "notice.addressRefused.said": "Lo que dijo el servidor de correo",
  "notice.footer": "Enviado en nombre de {account}.",
  "calendar.summary": "{job}, {machine}",
  "calendar.description": "{sentence} Este día es el centro de lo probable, no una cita.",
  "calendar.feedSummary": "{job} · {machine}",
  "calendar.feedOverdue": "{job} · {machine} (fuera de plazo)",
  "calendar.feedFirst": "{limits}, lo que antes se cumpla.",
  "calendar.feedLast": "{limits}, lo que más tarde se cumpla.",
  "calendar.feedForecast":
    "Previsión del {date}. El día se mueve con lo que marca el odómetro; no es una cita.",
};
