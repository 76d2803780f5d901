/** Invented values that the description's examples share. */
export const EXAMPLE = {
  id: "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10",
  vehicleId: "01993b20-0d1c-7c31-9a6e-7a2f4b8c9d11",
  taskId: "01993b21-5e6f-7d42-8b7f-8b3f5c9dae12",
  memberId: "01993b1f-8a0b-7b53-9c8d-9c4f6daebf13",
  at: "2026-05-01T08:00:00.000Z",
  later: "2026-05-20T08:00:00.000Z",
} as const;

export const exampleStored = { id: EXAMPLE.id, createdAt: EXAMPLE.at, updatedAt: EXAMPLE.at };

export const examplePreferences = {
  leadDays: 21,
  leadDistance: null,
  sendingHour: 8,
  quietDays: [7],
  askForReadings: true,
  digest: "none",
} as const;

export const exampleMember = {
  ...exampleStored,
  name: "Robin of the harbour co-operative",
  email: "robin@example.org",
  emailConfirmed: true,
  emailSuppressed: null,
  unsubscribedAt: null,
  role: "owner",
  locale: "en",
  timeZone: "Europe/Berlin",
  unit: "km",
  reminders: examplePreferences,
  externalId: null,
} as const;

export const exampleVehicle = {
  ...exampleStored,
  name: "Single 150, number 4",
  kind: "motorcycle",
  meterUnit: "km",
  hoursMeter: false,
  make: null,
  model: null,
  modelYear: 2025,
  registration: null,
  frameNumber: null,
  group: "Harbour",
  inServiceOn: "2026-04-01",
  declaredPerYear: 6000,
  hemisphere: null,
  responsibleMemberId: EXAMPLE.memberId,
  scheduleId: null,
  disposedOn: null,
  offRoad: false,
  externalId: "harbour-04",
  notes: null,
  status: "inUse",
} as const;
