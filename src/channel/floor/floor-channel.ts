import type { Clock } from '../../desk/clock.js';
import type { Channel } from '../../desk/port.js';
import type { Ledger } from './ledger.js';
import { VIA } from './saying.js';

/**
 * The floor page as the desk sees it. A post stands as soon as it is in the ledger: every page that is open draws it,
 * every page that is opened later finds it. So it can always be asked, and nothing is ever of unknown outcome.
 */
export function floorChannel(ledger: Ledger, clock: Clock, arrived: (bay: string) => void): Channel {
  return {
    name: VIA,
    deliver: async (out) => {
      const place = await ledger.post(out, clock.now());
      arrived(out.bay);
      return place;
    },
    find: async ({ key }) => ledger.find(key),
  };
}
