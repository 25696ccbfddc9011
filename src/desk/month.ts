import { DateTime } from 'luxon';

/** The month of an instant in the workshop's zone, `YYYY-MM`. */
export function monthOf(zone: string, at: number): string {
  return DateTime.fromMillis(at, { zone }).toFormat('yyyy-MM');
}

/** An instant as the record prints it: `Mon 2 Mar 2026 14:05`, in the workshop's zone. */
export function printIn(zone: string): (at: number) => string {
  return (at) => DateTime.fromMillis(at, { zone, locale: 'en-GB' }).toFormat('ccc d LLL yyyy HH:mm');
}

/** The day of an instant in the workshop's zone, `YYYY-MM-DD`. */
export function todayIn(zone: string, at: number): string {
  return DateTime.fromMillis(at, { zone }).toFormat('yyyy-MM-dd');
}
