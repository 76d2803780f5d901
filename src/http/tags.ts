/** The groups of the API's description, in the order in which a newcomer needs them. */
export const TAGS = [
  { name: "Account", description: "Whoever keeps the machines; a sandbox has its own clock." },
  { name: "Member", description: "The people of an account." },
  { name: "API key", description: "What opens the account, and how much of it." },
  { name: "Vehicle", description: "The machines, their lay-ups and meter changes." },
  { name: "Reading", description: "What a meter showed, and what became of it." },
  { name: "Task", description: "A machine's maintenance schedule, as it stands today." },
  { name: "Schedule", description: "Tasks that many machines share." },
  {
    name: "Work record",
    description: "What was done, judged against the limits; the service history.",
  },
  { name: "Forecast", description: "When due points will be reached, as distributions." },
  { name: "Reminder", description: "What is planned, sent and why; the mail and its delivery." },
  {
    name: "Calendar feed",
    description: "Due dates in a calendar program that subscribes to them.",
  },
  {
    name: "Import and export",
    description: "Files of many rows, in and out; an account as a whole.",
  },
  { name: "Event", description: "The log of everything that changed." },
  {
    name: "Webhook endpoint",
    description: "Where events are delivered to, signed by Standard Webhooks 1.0.0.",
  },
] as const;
