import { calendarEntries, printCalendar } from '../record/calendar.js';
import { dateAt } from '../shop/hours.js';
import { addDays } from '../trade/dates.js';
import type { ShopPort } from './shop-port.js';

/** So far ahead the calendar reaches, in days: a year, and a month to see the same work come again. */
const AHEAD_DAYS = 396;

/** The due list of a workshop as an iCalendar file: everything overdue, and a year ahead. `now`: ms since 1970. */
export async function dueCalendar(
  shop: Pick<ShopPort, 'register' | 'dueUntil'>,
  now: number,
): Promise<string> {
  const { shop: own, gear } = shop.register();
  const today = dateAt(own.zone, now);
  const items = await shop.dueUntil(addDays(today, AHEAD_DAYS));
  return printCalendar(calendarEntries(items, gear.values(), { site: own.site, today, days: AHEAD_DAYS }));
}
