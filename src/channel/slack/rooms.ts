import type { Register } from '../../shop/register.js';
import type { SlackSettings } from './settings.js';

/** The name of this channel: in inputs, and in the register's accounts. */
export const VIA = 'slack';

/** Which channel of the platform is whose. */
export type Rooms = {
  /** Bays of a channel, in the register's order; none for any other channel. */
  baysOf(channel: string): readonly string[];
  /** The channel of a bay, or null where the register names none. */
  channelOf(bay: string): string | null;
  readonly foreman: string | null;
  readonly shop: string | null;
  /** All channels that anything is said in. */
  readonly all: readonly string[];
};

/** The rooms of the register as it is now; put together anew only when it has changed. */
export function roomsLately(
  register: () => Register,
  settings: Pick<SlackSettings, 'foreman' | 'shop'>,
): () => Rooms {
  let before: { readonly of: Register; readonly rooms: Rooms } | null = null;
  return () => {
    const of = register();
    if (before?.of !== of) before = { of, rooms: roomsOf(of, settings) };
    return before.rooms;
  };
}

/** The rooms as the register and the settings have them: `accounts: { "slack": "C…" }` of each bay. */
export function roomsOf(register: Register, settings: Pick<SlackSettings, 'foreman' | 'shop'>): Rooms {
  const channelOf = (bay: string) => register.bays.get(bay)?.accounts[VIA] ?? null;
  const { foreman } = settings;
  const shop = settings.shop ?? foreman;
  const bays = [...register.bays.keys()];
  const channels = [...bays.map(channelOf), foreman, shop];
  return {
    baysOf: (channel) => bays.filter((bay) => channelOf(bay) === channel),
    channelOf,
    foreman,
    shop,
    all: [...new Set(channels.filter((one) => one !== null))],
  };
}
