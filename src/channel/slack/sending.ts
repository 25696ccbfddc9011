import type { Stamp } from './place.js';
import { type Web, WebFault } from './web.js';

/** With these the message is sent again in a plainer form. */
const NO_METADATA = new Set([
  'invalid_metadata_format',
  'invalid_metadata_schema',
  'metadata_too_large',
  'metadata_must_be_sent_from_app',
]);
const NO_BLOCKS = new Set(['invalid_blocks', 'invalid_blocks_format']);
/** Sends a message as well as the platform takes it: without the mark to find it by, without blocks, as text. */
export class Sending {
  private metadata = true;

  constructor(
    private readonly web: Web,
    private readonly report: (words: string) => void,
  ) {}

  /** @throws {WebFault} */
  async send(args: Readonly<Record<string, unknown>>): Promise<Stamp> {
    if (!this.metadata && 'metadata' in args) {
      const { metadata: _, ...rest } = args;
      return this.send(rest);
    }
    try {
      const { ts } = await this.web.call('chat.postMessage', args);
      if (typeof ts !== 'string') throw new WebFault('unknown', 'no_ts');
      return ts;
    } catch (error) {
      if (!(error instanceof WebFault) || error.code !== 'refused') throw error;
      if ('metadata' in args && NO_METADATA.has(error.says)) {
        this.metadata = false;
        return this.send(args);
      }
      if ('blocks' in args && NO_BLOCKS.has(error.says)) {
        this.report(`The platform takes no blocks (${error.says}); the same goes as text.`);
        const { blocks: _, ...rest } = args;
        return this.send(rest);
      }
      throw error;
    }
  }
}

/** What to do about a refusal, by the platform's word for it. */
export const REMEDIES: Readonly<Record<string, string>> = {
  not_in_channel: 'Invite the bot to the channel.',
  channel_not_found: 'Invite the bot to the channel, and look at its id in bays.json.',
  is_archived: 'The channel is archived; name another in bays.json.',
  invalid_auth: 'SLACK_BOT_TOKEN is wrong or was revoked.',
  account_inactive: 'The app was taken off the workspace; install it again.',
  token_revoked: 'Install the app again and set the new SLACK_BOT_TOKEN.',
  missing_scope: 'Install the app again with the scopes of the manifest.',
};
