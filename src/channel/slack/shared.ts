import * as z from 'zod';
import { type Web, WebFault } from './web.js';

const INFO = z.object({
  channel: z.object({
    is_member: z.boolean().nullish(),
    is_ext_shared: z.boolean().nullish(),
    is_pending_ext_shared: z.boolean().nullish(),
    name: z.string().nullish(),
  }),
});

export type RoomState = 'ours' | 'shared' | 'not-member' | 'cannot-tell';

/**
 * What a channel is to us. One that is shared with another workspace is never used: people there would read and
 * answer, and nobody here knows them.
 */
export async function roomState(
  web: Web,
  channel: string,
): Promise<{ readonly state: RoomState; readonly says: string }> {
  try {
    const read = INFO.safeParse(await web.call('conversations.info', { channel }));
    if (!read.success) return { state: 'cannot-tell', says: 'unreadable_answer' };
    const { is_ext_shared, is_pending_ext_shared, is_member, name } = read.data.channel;
    if (is_ext_shared === true || is_pending_ext_shared === true)
      return { state: 'shared', says: name ?? channel };
    return { state: is_member === false ? 'not-member' : 'ours', says: name ?? channel };
  } catch (error) {
    if (!(error instanceof WebFault)) throw error;
    return { state: error.says === 'channel_not_found' ? 'not-member' : 'cannot-tell', says: error.says };
  }
}
