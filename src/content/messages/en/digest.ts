/** The digest. */
export const digest = {
  "digest.week": "Week of {date}",
  "digest.month": "In {month}",
  "digest.subjectBoth": "{due, plural, one {# job} other {# jobs}} due, {overdue} overdue",
  "digest.subjectDue": "{due, plural, one {# job} other {# jobs}} due",
  "digest.subjectOverdue": "{overdue, plural, one {# job} other {# jobs}} overdue",
  "digest.subjectNothing": "nothing due",
  "digest.both":
    "{due, plural, one {# job falls} other {# jobs fall}} due by {to}, {overdue, plural, one {# is} other {# are}} overdue.",
  "digest.due": "{due, plural, one {# job falls} other {# jobs fall}} due by {to}.",
  "digest.overdue": "{overdue, plural, one {# job is} other {# jobs are}} overdue.",
  "digest.nothing": "Nothing is likely to fall due by {to}.",
  "digest.next":
    "{jobs, plural, one {# job is} other {# jobs are}} likely to follow by {to}, on {machines, plural, one {# machine} other {# machines}}.",
  "digest.moreJobs": "And {count, plural, one {# more job} other {# more jobs}} on this machine.",
  "digest.moreMachines":
    "{machines, plural, one {# more machine has} other {# more machines have}} {jobs, plural, one {# job} other {# jobs}} due as well, for which this mail has no room.",
  "digest.clearUntil":
    "On {machines, plural, one {# machine} other {# machines}} nothing is likely to fall due before {date}.",
  "digest.clear": "On {machines, plural, one {# machine} other {# machines}} nothing is in sight.",
  "digest.unforeseen":
    "{count, plural, one {# job is not counted here: its last work or a reading is missing} other {# jobs are not counted here: their last work or a reading is missing}}.",
  "digest.held": "Readings to look at",
  "digest.heldText":
    "They do not fit what is known of the machine. Until somebody confirms or corrects them, no estimate uses them.",
  "digest.heldLine": "{machine}: {value} on {on}",
  "digest.heldLikelier": "{machine}: {value} on {on}, likelier {likelier}",
  "digest.silent": "No reading for long",
  "digest.silentLine": "{machine}: last {value} on {on}",
  "digest.silentNever": "{machine}: never read",
  "digest.work": "Work logged since {date}",
  "digest.workLine": "{machine}: {titles}, on {on}",
  "digest.undelivered": "Mail that did not arrive",
  "digest.undeliveredLine": "To {member}: {answer}",
  "digest.refusedLine": "Nothing reaches {member}: {answer}",
  "digest.failedDeliveries":
    "{count, plural, one {# delivery} other {# deliveries}} to other programs failed.",
  "digest.footerWeekly": "The weekly digest of {account}.",
  "digest.footerMonthly": "The monthly digest of {account}.",
  "digest.unsubscribe": "Stop all emails, reminders too",
} as const;
