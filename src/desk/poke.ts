import { schedule } from 'node-cron';
import type { Desk } from './desk.js';
import { NotTaken } from './port.js';

/**
 * Pokes the desk every second of wall time. What is due is asked for anew each time and never counted, so a clock
 * that jumps, a computer that slept or a poke that is missed changes nothing but the moment. A disk that takes
 * nothing is tried again a second later.
 */
export function poke(desk: Pick<Desk, 'tick'>): { stop(): void } {
  const task = schedule(
    '* * * * * *',
    async () => {
      try {
        await desk.tick();
      } catch (error) {
        if (!(error instanceof NotTaken)) throw error;
      }
    },
    { noOverlap: true },
  );
  return { stop: () => void task.destroy() };
}
