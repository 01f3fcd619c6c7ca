/** Instants as people and devices write them: RFC 3339, with its full dates. */
const DATE_TIME = /^(\d{4})-(\d\d)-(\d\d)[Tt ](\d\d):(\d\d):(\d\d)(\.\d+)?(?:[Zz]|([+-])(\d\d):(\d\d))$/;
const FULL_DATE = /^(\d{4})-(\d\d)-(\d\d)$/;
const DAY_MS = 86_400_000;

function dayMs(year: number, month: number, day: number): number | null {
  const at = new Date(0);
  at.setUTCFullYear(year, month - 1, day);
  return month >= 1 && month <= 12 && day >= 1 && at.getUTCMonth() === month - 1 && at.getUTCDate() === day ? at.getTime() : null;
}

/**
 * A date-time as unix ms, with its fraction; null: the text is none. A leap second is valid text where its minute ends a UTC day, and is the
 * instant that unix time repeats: 1990-12-31T23:59:60Z is the first of 1991.
 */
export function instantMs(text: string): number | null {
  const [, year, month, day, hour, minute, second, fraction = "", sign, offsetHour = "0", offsetMinute = "0"] = DATE_TIME.exec(text) ?? [];
  const day0 = dayMs(Number(year), Number(month), Number(day)), inRange = Number(hour) <= 23 && Number(minute) <= 59 && Number(second) <= 60 && Number(offsetHour) <= 23 && Number(offsetMinute) <= 59;
  if (day0 === null || !inRange) return null;
  const offsetMin = (sign === "-" ? -1 : 1) * (Number(offsetHour) * 60 + Number(offsetMinute));
  const minuteMs = day0 + (Number(hour) * 60 + Number(minute) - offsetMin) * 60_000;
  if (Number(second) === 60 && (minuteMs + 60_000) % DAY_MS !== 0) return null;
  return minuteMs + Number(second) * 1000 + Number(`0${fraction}`) * 1000;
}

/** A full date, or a date-time, as the stretch of time that it names, unix ms; null: it is neither. The day of a full date is one in UTC. */
export function spanMs(text: string): { readonly fromMs: number; readonly toMs: number } | null {
  const [, year, month, day] = FULL_DATE.exec(text) ?? [], day0 = dayMs(Number(year), Number(month), Number(day)), instant = instantMs(text);
  if (day0 !== null) return { fromMs: day0, toMs: day0 + DAY_MS - 1 };
  return instant === null ? null : { fromMs: instant, toMs: instant };
}
