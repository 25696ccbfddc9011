import type { Clock } from '../desk/clock.js';
import type { Desk } from '../desk/desk.js';
import type { Channel, OutPost } from '../desk/port.js';
import type { Disk } from '../journal/disk.js';
import type { Register } from '../shop/register.js';

/** The channel in which a job was started, by its name; null when that cannot be told. */
export type HomeOf = (job: string) => Promise<string | null>;

/** Reads the home of a job from the first line of its journal: it is on disk before anything of the job is said. */
export function homeInJournal(disk: Pick<Disk, 'read'>): HomeOf {
  const known = new Map<string, string>();
  return async (job) => {
    const before = known.get(job);
    if (before !== undefined) return before;
    const bytes = await disk.read(`open/${job}.jsonl`).catch(() => null);
    const via = viaOf(bytes?.toString() ?? '');
    if (via !== null) known.set(job, via);
    return via;
  };
}

function viaOf(journal: string): string | null {
  try {
    const line: unknown = JSON.parse(journal.slice(0, journal.indexOf('\n')));
    return typeof line === 'object' && line !== null && 'via' in line && typeof line.via === 'string'
      ? line.via
      : null;
  } catch {
    return null;
  }
}

/**
 * Several channels as the desk sees them: one. What belongs to a job goes to the channel in which the job was started;
 * an answer to words without a job goes where they were said. What calls the foreman or the shop stands in every
 * channel: nobody may miss it by looking at the other screen. The first channel takes what no other is named for.
 */
export function severalChannels(channels: readonly [Channel, ...Channel[]], homeOf: HomeOf): Channel {
  const named = new Map(channels.map((channel) => [channel.name, channel]));
  const [first] = channels;
  const homeFor = async ({ key, job }: OutPost): Promise<Channel> => {
    const home = job === null ? null : await homeOf(job);
    const said = home ?? /^(?:shop|unkept):([^:]+):/.exec(key)?.[1] ?? '';
    return named.get(said) ?? first;
  };
  return {
    name: channels.map(({ name }) => name).join('+'),
    deliver: async (out) => {
      const home = await homeFor(out);
      const place = await home.deliver(out);
      if (out.post.to !== 'bay')
        copy(
          channels.filter((one) => one !== home),
          out,
        );
      return place;
    },
    find: async (out) => (await homeFor(out)).find(out),
  };
}

/** Once, and nothing hangs on it: the post stands in its own channel already. */
function copy(channels: readonly Channel[], out: OutPost): void {
  for (const channel of channels) void channel.deliver(out).catch(() => undefined);
}

/** A channel that runs beside another one, on the same disk and the same desk. */
export type Beside = {
  readonly channel: Channel;
  /** Takes words from now on. */
  start(desk: Desk): void;
  /** What time makes due; never fails. */
  tick(): Promise<void>;
  stop(): Promise<void>;
};

/** Opens it before there is a desk. `lastAlive`: ms since 1970; null at the first start. */
export type OpenBeside = (on: {
  readonly disk: Disk;
  readonly clock: Clock;
  readonly register: () => Register;
  readonly lastAlive: number | null;
  /** Tells whoever looks at the page that this channel is in trouble. */
  readonly alarm: (words: string) => void;
}) => Promise<Beside>;
