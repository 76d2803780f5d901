/** How a member wants to be reminded. */
export interface Preferences {
  /** Days ahead of a due point at which the first reminder comes; at least 0. */
  leadDays: number;
  /** Distance ahead of a due point, in the meter's unit of the vehicle at hand. */
  leadDistance?: number | undefined;
  /** Local hour of the member's day, 0 to 23. */
  sendingHour: number;
  /** ISO weekdays (1 is Monday) on which nothing is sent. */
  quietDays: readonly number[];
  /** Whether a reading may be asked for. */
  askForReadings: boolean;
  /** IANA time zone. */
  zone: string;
}
