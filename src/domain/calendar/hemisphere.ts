import { Temporal } from "temporal-polyfill";
import { dayNumber, MS_PER_DAY } from "./plain-date.ts";

/** Zones south of the equator whose clocks do not change, after the IANA tz database's zone1970.tab. */
const SOUTHERN_STEADY = new Set(
  [
    "Africa/Blantyre Africa/Dar_es_Salaam Africa/Gaborone Africa/Harare Africa/Johannesburg Africa/Kigali",
    "Africa/Lubumbashi Africa/Luanda Africa/Lusaka Africa/Maputo Africa/Maseru Africa/Mbabane Africa/Nairobi",
    "Africa/Windhoek America/Araguaina America/Bahia America/Belem America/Campo_Grande America/Cuiaba",
    "America/Fortaleza America/Guayaquil America/La_Paz America/Lima America/Maceio America/Manaus",
    "America/Montevideo America/Noronha America/Porto_Velho America/Punta_Arenas America/Recife",
    "America/Rio_Branco America/Santarem America/Sao_Paulo Asia/Dili Asia/Jakarta Asia/Jayapura Asia/Makassar",
    "Australia/Brisbane Australia/Darwin Australia/Eucla Australia/Lindeman Australia/Perth",
    "Indian/Antananarivo Indian/Mauritius Indian/Reunion Pacific/Apia Pacific/Fiji Pacific/Noumea",
    "Pacific/Port_Moresby Pacific/Rarotonga Pacific/Tahiti Pacific/Tongatapu",
  ].flatMap((line) => line.split(" ")),
);

/**
 * Whether riders of the zone have their summer in January: its clocks are ahead then, or it is known
 * to lie south. A guess for a machine that does not say; near the equator it hardly matters.
 */
export function isSouthern(zone: string): boolean {
  if (SOUTHERN_STEADY.has(zone) || zone.startsWith("America/Argentina/")) return true;
  let southern = summerInJanuary.get(zone);
  if (southern === undefined) {
    southern = offset("2026-01-15", zone) > offset("2026-07-15", zone);
    summerInJanuary.set(zone, southern);
  }
  return southern;
}

/** Zones are few; each is worked out once. */
const summerInJanuary = new Map<string, boolean>();

function offset(date: string, zone: string): number {
  const instant = Temporal.Instant.fromEpochMilliseconds(dayNumber(date) * MS_PER_DAY);
  return instant.toZonedDateTimeISO(zone).offsetNanoseconds;
}
