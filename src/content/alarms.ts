/** One alarm for the person who is woken at night. */
export interface Alarm {
  /** What it is called where alarms are configured. */
  readonly name: string;
  /** The condition, in the language of Prometheus' alerting rules. */
  readonly when: string;
  /** For how long it must hold before anybody is woken. */
  readonly lasting: string;
  /** Whether somebody must get up, or the morning will do. */
  readonly urgency: "now" | "morning";
  readonly means: string;
  readonly todo: readonly string[];
}

/** Every alarm, the most pressing first. A test holds their measurements equal to those that are told. */
export const ALARMS: readonly Alarm[] = [
  {
    name: "ReminderOverlooked",
    when: "forewheel_overlooked_reminders > 0",
    lasting: "5m",
    urgency: "now",
    means:
      "Reminders have passed their hour and no message carries them. This is the promise itself: no reminder is lost in silence.",
    todo: [
      "Does a worker beat? See WorkerSilent. Without one, start it: it finds everything that is due by itself, and a rider who has waited for more than three days gets one mail.",
      "Is it on hold? See OnHold.",
      "If a worker beats and the figure stays, look for errors of the sweep in its log and keep the database as it is until they are understood.",
    ],
  },
  {
    name: "WorkerSilent",
    when: "absent(forewheel_tick_seconds_count) or rate(forewheel_tick_seconds_count[5m]) == 0",
    lasting: "5m",
    urgency: "now",
    means:
      "No worker beats: nothing is planned, gathered or sent. Nothing is lost either; it goes out when a worker runs again.",
    todo: [
      "Start it, or look why it ends: a setting that is wrong is named in its first lines.",
      "If it runs and does not beat, /livez says 503: end it with SIGTERM, a second time if it stays. Leases hand what it held to the next worker.",
    ],
  },
  {
    name: "DatabaseSilent",
    when: "forewheel_database_answers == 0",
    lasting: "2m",
    urgency: "now",
    means: "A worker runs and PostgreSQL does not answer it. The API says 503 on /readyz.",
    todo: [
      "Bring PostgreSQL back. API and workers find it again within seconds, nothing needs a restart.",
      "If it answers others: has it run out of connections, or was the password of forewheel_app changed?",
    ],
  },
  {
    name: "OnHold",
    when: "forewheel_on_hold == 1",
    lasting: "0m",
    urgency: "now",
    means:
      "The database is older than what a worker remembers of it: a backup was restored. Mail that it takes for unsent may have been sent, so nothing is sent at all.",
    todo: [
      "Find out until when mail had been sent before: the newest Message-ID in the mail server's log, or the time at which the old database was lost.",
      "Release it with npm run worker -- --release-hold --sent-until and that instant: what was planned before counts as sent.",
      "If nothing was sent since the backup: npm run worker -- --release-hold --send-all.",
    ],
  },
  {
    name: "MailServerDown",
    when: "forewheel_mail_server_down == 1",
    lasting: "15m",
    urgency: "now",
    means:
      "Three attempts in a row could not reach the mail server. One message is tried every 30 seconds; attempts are not counted, and mail waits for up to seven days.",
    todo: [
      "Look at lastAnswer of GET /v1/messages?status=waiting, then at the mail server, its name, its certificate and the way to it.",
      "If SMTP_URL must change, change it and restart the workers. Nothing else is to be done: the first answer opens the way for all.",
    ],
  },
  {
    name: "MailWaits",
    when: 'forewheel_oldest_unsent_seconds{channel="mail"} > 900 and forewheel_waiting_messages{channel="mail"} > 0',
    lasting: "10m",
    urgency: "now",
    means: "Mail has been due for a quarter of an hour and is not sent.",
    todo: [
      "If MailServerDown, OnHold or WorkerSilent rings as well, begin there.",
      "If the figure falls, there is a backlog after an outage: start another worker if you want it gone sooner.",
      "If it stays, look for the message in the worker's log; one that cannot be made is given up after five attempts and shown as failed.",
    ],
  },
  {
    name: "ApiFails",
    when: 'rate(http_request_duration_seconds_count{status=~"5.."}[5m]) > 0.05',
    lasting: "5m",
    urgency: "now",
    means: "The API answers with errors of its own, or with 503 while it is not ready.",
    todo: [
      "The log has each under its requestId, which is the problem's instance.",
      "503 alone: see DatabaseSilent.",
    ],
  },
  {
    name: "MachineUnplanned",
    when: "forewheel_unplanned_machines > 0",
    lasting: "30m",
    urgency: "morning",
    means:
      "Machines were to be planned again and were not. Their reminders stand as they were planned before.",
    todo: [
      "A machine that cannot be planned is put off by an hour and named in the log, with the error: mend what it says.",
      "If there are many, the workers do not keep up: start another one.",
    ],
  },
  {
    name: "AuditFound",
    when: "forewheel_audit_overlooked > 0",
    lasting: "0m",
    urgency: "morning",
    means:
      "The daily audit found reminders that should have spoken and are in no message, or tasks of which none was ever planned.",
    todo: [
      "Look at /v1/reminders?status=planned with a plannedFor long past, and at the events task.ahead, task.due and task.overdue without a reminder.",
      "It is a fault of the service: keep a copy of the rows before you mend them.",
    ],
  },
  {
    name: "AuditMissing",
    when: "forewheel_audit_age_seconds > 129600",
    lasting: "1h",
    urgency: "morning",
    means: "No audit has ended for a day and a half.",
    todo: ["Look for its error in the worker's log; another worker takes it up after an hour."],
  },
  {
    name: "OutcomeLost",
    when: "forewheel_unknown_messages > 0",
    lasting: "4h",
    urgency: "morning",
    means:
      "The connection broke after a whole message had been handed over: nobody knows whether it was taken. It is tried again under the same Message-ID.",
    todo: ["If it comes back, the mail server breaks connections: its log knows why."],
  },
  {
    name: "MailRepeated",
    when: "increase(forewheel_repeated_total[1h]) > 10",
    lasting: "0m",
    urgency: "morning",
    means:
      "Messages are handed over again because the outcome before was lost: workers die or stall past their leases, or the mail server's answers get lost.",
    todo: [
      "Are workers killed, for want of memory perhaps, or stopped without 15 seconds of grace?",
      "The repeats carry the same Message-ID, so that most mail servers and readers show one.",
    ],
  },
  {
    name: "MailRefused",
    when: 'increase(forewheel_attempts_total{channel="mail",result="failed"}[1h]) > 20',
    lasting: "0m",
    urgency: "morning",
    means: "The mail server refuses messages for good.",
    todo: [
      "GET /v1/messages?status=failed shows its words. An unknown mailbox is written to no more and the account's owner is told; a refusal by policy concerns the sending domain: SPF, DKIM, DMARC, reputation.",
    ],
  },
  {
    name: "MailLate",
    when: 'histogram_quantile(0.99, rate(forewheel_lag_seconds_bucket{channel="mail"}[1h])) > 600',
    lasting: "15m",
    urgency: "morning",
    means: "One mail in a hundred takes more than ten minutes from its making to its sending.",
    todo: ["Start another worker, or look for a mail server that answers slowly."],
  },
  {
    name: "WebhooksWait",
    when: 'forewheel_oldest_unsent_seconds{channel="webhook"} > 3600',
    lasting: "15m",
    urgency: "morning",
    means: "Deliveries to webhook endpoints are due and are not tried. Mail is not concerned.",
    todo: [
      "GET /v1/messages?kind=webhook&status=waiting shows which endpoints. One that hangs takes at most two places; if many hang, start another worker.",
    ],
  },
  {
    name: "WorkerFaults",
    when: "increase(forewheel_faults_total[15m]) > 5",
    lasting: "0m",
    urgency: "morning",
    means: "The worker went on after errors.",
    todo: ["Each is in its log at level error, with what it was about."],
  },
];
