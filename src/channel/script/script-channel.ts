import { type Channel, Undelivered } from '../../desk/port.js';
import type { Place } from '../../job/input.js';
import type { ChannelState } from './line.js';
import type { Room } from './room.js';

/** The channel of scripts and of the terminal: it delivers into a room in memory. */
export type ScriptChannel = Channel & {
  /**
   * `down`: deliveries are surely not sent, and nothing can be asked. `lost`: they arrive and nobody hears of it,
   * until the channel is asked.
   */
  state: ChannelState;
};

export type RoomParts = {
  /** Goes into each input as the channel it came through. */
  readonly name: string;
  readonly room: Room;
  readonly now: () => number;
  /** The room began when this program did: what it may have shown before, nobody knows. */
  readonly forgets?: boolean;
  /** Called with each post as it arrives. */
  readonly arrived?: () => void;
};

export function scriptChannel({ name, room, now, forgets = false, arrived }: RoomParts): ScriptChannel {
  const channel: ScriptChannel = {
    name,
    state: 'up',
    deliver: async (out): Promise<Place> => {
      if (channel.state === 'down') throw new Undelivered('not-sent');
      const place = room.post(out, now());
      arrived?.();
      if (channel.state === 'lost') throw new Undelivered('unknown');
      return place;
    },
    find: async (out) => {
      // Not "cannot be asked": it can, once it is up again.
      if (channel.state === 'down') throw new Undelivered('unknown');
      return room.find(out.key) ?? (forgets ? 'cannot-ask' : null);
    },
  };
  return channel;
}
