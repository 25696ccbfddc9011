import { DateTime } from 'luxon';
import type { VirtualClock } from '../../desk/clock.js';
import type { Desk } from '../../desk/desk.js';
import { NotTaken } from '../../desk/port.js';

/** So many wake-ups at one instant are more than any job has. */
const MOST_AT_ONCE = 500;

/**
 * Moves the clock on to an instant. It stops at each wake-up on the way, in order, as if the night had been lived
 * through. A wake-up that cannot be kept ends the walk at once: the clock goes on without.
 *
 * @throws when time does not move on: a wake-up that stays due after it was run.
 */
export async function walkClock(
  desk: Pick<Desk, 'nextWake' | 'tick'>,
  clock: VirtualClock,
  to: number,
): Promise<void> {
  let stood = clock.now();
  let runs = 0;
  for (let wake = desk.nextWake(); wake !== null && wake <= to; wake = desk.nextWake()) {
    clock.moveTo(wake);
    runs = clock.now() === stood ? runs + 1 : 0;
    stood = clock.now();
    if (runs > MOST_AT_ONCE)
      throw new Error(`a wake-up stays due for ever at ${new Date(wake).toISOString()}`);
    if (!(await tickKept(desk))) break;
  }
  clock.moveTo(to);
  await tickKept(desk);
}

/** Lets time do its work; false when what it did could not be kept. */
export async function tickKept(desk: Pick<Desk, 'tick'>): Promise<boolean> {
  try {
    await desk.tick();
  } catch (error) {
    if (error instanceof NotTaken) return false;
    throw error;
  } finally {
    await settled();
  }
  return true;
}

/** Word from one bay to another is not waited for by the desk; in memory all of it is done after one turn. */
export function settled(): Promise<void> {
  return new Promise((resolve) => setImmediate(resolve));
}

/** The next instant at which the clock in the workshop shows this time; now, while it shows it already. */
export function nextTime(now: number, time: string, zone: string): number {
  const local = DateTime.fromMillis(now, { zone });
  if (local.toFormat('HH:mm') === time) return now;
  const [hour, minute] = time.split(':').map(Number);
  const today = local.set({ hour: hour ?? 0, minute: minute ?? 0, second: 0, millisecond: 0 });
  const next = today.toMillis() > now ? today : today.plus({ days: 1 });
  return next.toMillis();
}
