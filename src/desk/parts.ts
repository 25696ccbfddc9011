import type { Disk } from '../journal/disk.js';
import type { Clock } from './clock.js';
import type { FlowSource } from './flow-source.js';
import type { Patience } from './patience.js';
import type { Channel } from './port.js';
import type { ShopPort } from './shop-port.js';

/** What a desk is made of. */
export type Parts = {
  readonly disk: Disk;
  readonly clock: Clock;
  readonly channel: Channel;
  readonly shop: ShopPort;
  readonly flows: FlowSource;
  /** Chance for drawing gate words, from the journal's last hash, unless a script wants the same words every time. */
  readonly draw?: (hash: string) => number;
  /** How long the channel may take over a post; ten seconds unless it is set. */
  readonly patience?: Patience;
};

/** What was found wrong, for the console; the same words only once. */
export function reportOnce(reports: string[], words: string): void {
  if (!reports.includes(words)) reports.push(words);
}
