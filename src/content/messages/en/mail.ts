/** Reminders, notices, and what goes into a calendar. */
export const mail = {
  "mail.subjectOne": "{job} on {machine}: {range}",
  "mail.subjectJobs": "{count, plural, one {# job} other {# jobs}} on {machine}, first: {range}",
  "mail.subjectMachines":
    "{count, plural, one {# job} other {# jobs}} on {machines, plural, one {# machine} other {# machines}}, first: {range}",
  "mail.subjectOverdue":
    "{count, plural, one {Past its window} other {All past their windows}}: {subject}",
  "mail.subjectAsk": "{machine}: what does the meter show?",
  "mail.subjectAskMany":
    "What do the meters of {machines, plural, one {# machine} other {# machines}} show?",
  "mail.openingOne": "{machine}: {job}, {range}.",
  "mail.openingMore": "And {count, plural, one {# more job} other {# more jobs}} below.",
  "mail.openingAsk": "{machine}: please post a reading.",
  "mail.greeting": "Hello {name},",
  "mail.headingMany": "{count, plural, one {# job} other {# jobs}} to look at",
  "mail.stubAhead": "Next job",
  "mail.stubDue": "Due now",
  "mail.stubOverdue": "Past the window",
  "mail.stubMany": "Next jobs",
  "mail.stubAsk": "Reading wanted",
  "mail.askHeading": "What does the meter show?",
  "mail.askWhy": "A reading now would make clear when the next job falls due. It takes a minute.",
  "mail.askToo": "A reading would make these dates surer.",
  "mail.postReading": "Post a reading",
  "mail.logWork": "Log the work",
  "mail.defer": "Defer",
  "mail.subjectAskLayUp": "{machine}: has its lay-up ended?",
  "mail.subjectOverdueSome":
    "{overdue, plural, one {# job past its window} other {# jobs past their windows}} · {subject}",
  "mail.openingAskMany":
    "{machines, plural, one {# machine} other {# machines}}: please post the readings.",
  "mail.openingAskLayUp": "{machine}: please say whether its lay-up has ended.",
  "mail.askLayUpHeading": "Has the lay-up ended?",
  "mail.askLayUp":
    "The lay-up has no end so far, and the season begins. If the machine is in use again, say since when, and post what the meter shows.",
  "mail.layUpStart": "Start a lay-up",
  "mail.layUpEnd": "End the lay-up",
  "mail.leftOut":
    "{count, plural, one {# more job is} other {# more jobs are}} due that this mail has no room for.",
  "mail.leftOutAsks":
    "{count, plural, one {A reading of # more machine is} other {Readings of # more machines are}} wanted that this mail has no room for.",
  "mail.footer":
    "Sent for {account} because you look after {machines, plural, one {this machine} other {these machines}}.",
  "mail.unsubscribe": "Stop these emails",
  "mail.estimate": "Dates are estimates from the readings so far, as of {today}.",
  "notice.confirmAddress.subject": "Please confirm your address for {account}",
  "notice.confirmAddress.stub": "Your address",
  "notice.confirmAddress.heading": "Is this your address?",
  "notice.confirmAddress.text":
    "{account} would like to send you reminders of maintenance that falls due. Nothing is sent before you confirm. If you do not know who asks, leave this mail alone.",
  "notice.confirmAddress.button": "Confirm the address",
  "notice.freshLink.subject": "Your fresh link for {account}",
  "notice.freshLink.stub": "Your link",
  "notice.freshLink.heading": "Here is your fresh link",
  "notice.freshLink.text": "The link that you opened had expired. This one works again.",
  "notice.freshLink.button": "Open the link",
  "notice.addressRefused.subject": "{name} cannot be reached by mail",
  "notice.addressRefused.stub": "Mail returned",
  "notice.addressRefused.heading": "Mail to {name} comes back",
  "notice.addressRefused.text":
    "The mail server of {address} knows no such mailbox, so nothing more is sent to {name} there. Please enter another address for {name}; until then reminders for {name} reach nobody.",
  "notice.addressRefused.said": "What the mail server said",
  "notice.footer": "Sent for {account}.",
  "calendar.summary": "{job}, {machine}",
  "calendar.description":
    "{sentence} This day is the middle of what is likely, not an appointment.",
  "calendar.feedSummary": "{job} · {machine}",
  "calendar.feedOverdue": "{job} · {machine} (overdue)",
  "calendar.feedFirst": "{limits}, whichever comes first.",
  "calendar.feedLast": "{limits}, whichever comes last.",
  "calendar.feedForecast":
    "Forecast of {date}. The day moves with what the meter shows; it is not an appointment.",
} as const;
