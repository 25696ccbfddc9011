import * as z from 'zod';
import { type Web, WebFault } from './web.js';

const FILE = z.object({
  id: z.string(),
  name: z.string().nullish(),
  mimetype: z.string().nullish(),
  size: z.number().nullish(),
  url_private_download: z.string().nullish(),
});
export type SharedFile = z.output<typeof FILE>;

/** A message as the platform gives it, in an event or when it is read again. */
export const MESSAGE = z.object({
  ts: z.string(),
  user: z.string().nullish(),
  /** Workspace of its writer, where it is another than the channel's. */
  user_team: z.string().nullish(),
  bot_id: z.string().nullish(),
  subtype: z.string().nullish(),
  text: z.string().nullish(),
  thread_ts: z.string().nullish(),
  files: z.array(FILE).nullish().catch(null),
  blocks: z.array(z.unknown()).nullish().catch(null),
  attachments: z
    .array(z.object({ is_share: z.boolean().nullish(), is_msg_unfurl: z.boolean().nullish() }))
    .nullish()
    .catch(null),
  reactions: z
    .array(z.object({ name: z.string(), users: z.array(z.string()).nullish() }))
    .nullish()
    .catch(null),
  metadata: z
    .object({ event_payload: z.record(z.string(), z.unknown()).nullish() })
    .nullish()
    .catch(null),
});
export type ReadMessage = z.output<typeof MESSAGE>;

const PAGE = z.object({
  messages: z.array(MESSAGE.nullable().catch(null)),
  response_metadata: z.object({ next_cursor: z.string().nullish() }).nullish(),
});

export type Range = {
  readonly channel: string;
  readonly root: string | null;
  readonly oldest: string | null;
};

const ROWS = 200;
/** Nobody writes so much in one outage; a cursor that never ends may not keep us for ever. */
const MOST_PAGES = 50;

/**
 * Messages of a thread, its root among them, or of a channel where no root is given; oldest first.
 *
 * @throws {WebFault}
 */
export async function readMessages(
  web: Web,
  { channel, root, oldest }: Range,
): Promise<readonly ReadMessage[]> {
  const found: ReadMessage[] = [];
  let cursor = '';
  for (let page = 0; page < MOST_PAGES; page++) {
    const args = {
      channel,
      ...(root === null ? {} : { ts: root }),
      ...(oldest === null ? {} : { oldest, inclusive: true }),
      ...(cursor === '' ? {} : { cursor }),
      limit: ROWS,
      include_all_metadata: true,
    };
    const answer = await web.call(root === null ? 'conversations.history' : 'conversations.replies', args);
    const read = PAGE.safeParse(answer);
    if (!read.success) throw new WebFault('refused', 'unreadable_answer');
    found.push(...read.data.messages.filter((one) => one !== null));
    cursor = read.data.response_metadata?.next_cursor ?? '';
    if (cursor === '') break;
  }
  return found.sort((a, b) => Number(a.ts) - Number(b.ts));
}
