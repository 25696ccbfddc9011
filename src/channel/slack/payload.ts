import * as z from 'zod';
import { MESSAGE } from './reading.js';

/** What the platform sends, as far as we read it. */

const ITEM = z.object({
  type: z.string().nullish(),
  channel: z.string().nullish(),
  ts: z.string().nullish(),
});

export const EVENT = z.object({
  type: z.literal('event_callback'),
  team_id: z.string().nullish(),
  event_id: z.string().nullish(),
  is_ext_shared_channel: z.boolean().nullish(),
  event: z.looseObject({ type: z.string() }),
});

export const MESSAGE_EVENT = MESSAGE.extend({
  channel: z.string(),
  message: MESSAGE.extend({
    edited: z.object({ user: z.string().nullish(), ts: z.string() }).nullish(),
  }).nullish(),
  previous_message: MESSAGE.nullish().catch(null),
});
export type MessageEvent = z.output<typeof MESSAGE_EVENT>;

export const REACTION = z.object({
  type: z.literal('reaction_added'),
  user: z.string(),
  reaction: z.string(),
  item: ITEM,
  event_ts: z.string(),
});

export const HOME_OPENED = z.object({ type: z.literal('app_home_opened'), user: z.string() });

export const TAP = z.object({
  type: z.literal('block_actions'),
  user: z.object({ id: z.string(), team_id: z.string().nullish() }),
  container: z.object({ message_ts: z.string(), channel_id: z.string() }),
  message: z.object({ text: z.string().nullish(), blocks: z.array(z.unknown()).nullish() }).nullish(),
  actions: z
    .array(z.object({ action_id: z.string(), value: z.string().nullish(), action_ts: z.string().nullish() }))
    .min(1),
});
export type Tap = z.output<typeof TAP>;

export const COMMAND = z.object({
  command: z.string(),
  text: z.string().nullish(),
  channel_id: z.string(),
  user_id: z.string(),
  trigger_id: z.string(),
});
export type Command = z.output<typeof COMMAND>;
