import type { Message } from './messages.js';
import type { EnvelopeType } from './sockets.js';
import { envelope } from './sockets.js';
import type { StandIn } from './standin.js';
import { BOT } from './web-api.js';

/** Something that a person did, as the platform tells the app of it. */
export type Told = { readonly type: EnvelopeType; readonly payload: object };

/** What people do on the platform: it is stored there, and the app is told. */
export class People {
  private count = 0;

  constructor(private readonly standIn: StandIn) {}

  private event(event: object, more: object = {}): Told {
    return { type: 'events_api', payload: envelope(event, `Ev${++this.count}`, more) };
  }

  /** Writes at channel level or in a thread. */
  says(
    user: string,
    channel: string,
    text: string,
    thread?: string,
    more: object = {},
  ): Told & { ts: string } {
    const place = thread === undefined ? {} : { thread_ts: thread };
    const { ts } = this.standIn.web.messages.store({ channel, user, text, ...place, ...more });
    const message = {
      type: 'message',
      channel,
      channel_type: 'channel',
      user,
      text,
      ts,
      event_ts: ts,
      ...place,
      ...more,
    };
    return { ...this.event(message), ts };
  }

  /** The second event of a message that names the app: same time stamp, another event. */
  mention({ payload }: Told): Told {
    const { event } = payload as { event: object };
    return this.event({ ...event, type: 'app_mention' });
  }

  edits(user: string, channel: string, ts: string, text: string): Told {
    const before = this.standIn.web.messages.at(channel, ts);
    const edited = { user, ts: this.standIn.web.messages.stamp() };
    const { thread_ts } = before ?? {};
    const place = thread_ts === undefined ? {} : { thread_ts };
    const message = { type: 'message', user, text, ts, edited, ...place };
    const previous_message = { type: 'message', user, text: before?.text ?? '', ts, ...place };
    if (before !== undefined) before.text = text;
    return this.event({
      type: 'message',
      subtype: 'message_changed',
      channel,
      channel_type: 'channel',
      ts: edited.ts,
      event_ts: edited.ts,
      message,
      previous_message,
    });
  }

  deletes(user: string, channel: string, ts: string): Told {
    const at = this.standIn.web.messages.stamp();
    const previous_message = { type: 'message', user, ts, text: '' };
    return this.event({
      type: 'message',
      subtype: 'message_deleted',
      channel,
      deleted_ts: ts,
      ts: at,
      event_ts: at,
      previous_message,
    });
  }

  reacts(user: string, { channel, ts }: Pick<Message, 'channel' | 'ts'>, reaction: string): Told {
    const event_ts = this.standIn.web.messages.stamp();
    const message = this.standIn.web.messages.at(channel, ts);
    if (message !== undefined) {
      const one = { name: reaction, users: [user], count: 1 };
      message.reactions = [...(message.reactions ?? []), one];
    }
    return this.event({
      type: 'reaction_added',
      user,
      reaction,
      item: { type: 'message', channel, ts },
      item_user: BOT.user,
      event_ts,
    });
  }

  /** Taps a button by its label, as it stands in the message. */
  taps(user: string, message: Message, label: string): Told {
    const button = buttonsOf(message).find(({ text }) => text.text === label);
    if (button === undefined) throw new Error(`no button "${label}" in: ${message.text}`);
    return this.tapsButton(user, message, button);
  }

  /** Taps a button that may not be there any more: it was drawn so on the phone. */
  tapsButton(user: string, message: Message, button: DrawnButton): Told {
    const { channel, ts, thread_ts, text, blocks } = message;
    const place = thread_ts === undefined ? {} : { thread_ts };
    const payload = {
      type: 'block_actions',
      team: { id: BOT.team, domain: 'standin' },
      user: { id: user, username: user, team_id: BOT.team },
      api_app_id: 'A0',
      container: { type: 'message', message_ts: ts, channel_id: channel, is_ephemeral: false, ...place },
      trigger_id: '1.2.abc',
      channel: { id: channel, name: 'bay' },
      message: { type: 'message', ts, text, blocks, bot_id: BOT.bot, ...place },
      response_url: `${this.standIn.http}/response/1`,
      is_enterprise_install: false,
      actions: [{ type: 'button', ...button, action_ts: this.standIn.web.messages.stamp() }],
    };
    return { type: 'interactive', payload };
  }

  commands(user: string, channel: string, text: string): Told {
    const payload = {
      command: '/warden',
      text,
      team_id: BOT.team,
      team_domain: 'standin',
      channel_id: channel,
      channel_name: 'bay',
      user_id: user,
      user_name: user,
      api_app_id: 'A0',
      is_enterprise_install: 'false',
      trigger_id: `t${++this.count}`,
    };
    return { type: 'slash_commands', payload };
  }

  opensHome(user: string): Told {
    return this.event({
      type: 'app_home_opened',
      user,
      channel: 'D0',
      tab: 'home',
      event_ts: this.standIn.web.messages.stamp(),
    });
  }

  /** Shares a picture; its bytes are where a download finds them. */
  shares(
    user: string,
    channel: string,
    thread: string,
    name: string,
    bytes: Buffer,
    text = '',
  ): Told & { ts: string } {
    const id = `FU${++this.count}`;
    this.standIn.web.files.set(id, { name, bytes, shown: thread });
    const file = {
      id,
      name,
      mimetype: 'image/jpeg',
      size: bytes.length,
      url_private_download: `${this.standIn.http}/file/${id}`,
    };
    return this.says(user, channel, text, thread, { subtype: 'file_share', files: [file] });
  }
}

export type DrawnButton = {
  readonly action_id: string;
  readonly value: string;
  readonly text: { readonly text: string };
};

/** The buttons that stand in a message. */
export function buttonsOf({ blocks = [] }: Pick<Message, 'blocks'>): DrawnButton[] {
  return blocks.flatMap((block) => {
    const { type, elements } = block as { type: string; elements?: DrawnButton[] };
    return type === 'actions' ? (elements ?? []) : [];
  });
}
