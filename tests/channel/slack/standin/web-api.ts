import { Faults, replyOf } from './faults.js';
import { type Message, Messages } from './messages.js';
import { tooMuch } from './too-much.js';

/** Arguments as they came in: a form, nested values as JSON text. */
export type Args = Readonly<Record<string, string | undefined>>;
export type Reply =
  | { readonly status: number; readonly headers: Readonly<Record<string, string>>; readonly body: unknown }
  | 'hang'
  | 'cut';
export type Call = { readonly method: string; readonly args: Args; readonly auth: string };

export const BOT = { user: 'UBOT', bot: 'BBOT', team: 'T0', token: 'xoxb-standin', appToken: 'xapp-standin' };

export type Person = { readonly name: string; readonly restricted?: boolean; readonly stranger?: boolean };
export type Room = { readonly shared?: boolean; readonly member?: boolean };

export type Level = {
  /** Methods that this platform does not know. */
  readonly unknown?: readonly string[];
  readonly dropsMetadata?: boolean;
  /** Only these are known; all when not given. */
  readonly only?: readonly string[];
};

/** The Web API of the platform: what it is asked, what it stores, what it answers. */
export class WebApi {
  readonly calls: Call[] = [];
  readonly faults = new Faults();
  readonly messages: Messages;
  readonly homes = new Map<string, unknown>();
  readonly people = new Map<string, Person>();
  readonly rooms = new Map<string, Room>();
  /** Files by id: what was uploaded, and where it was shown. */
  readonly files = new Map<
    string,
    { name: string; bytes: Buffer; shown: string | null; alt?: string; comment?: string }
  >();
  readonly whispers: { readonly channel: string; readonly user: string; readonly text: string }[] = [];
  /** What broke the platform's limits. */
  readonly refused: string[] = [];
  level: Level = {};
  /** What the app may do, as the platform says it beside an answer. */
  scopes: readonly string[] | null = null;
  /** Nothing gets through while it is cut off. */
  cut = false;
  private count = 0;

  constructor(
    private readonly now: () => number,
    /** Where sockets and uploads are found. */
    readonly base: () => { readonly http: string; readonly ws: string },
  ) {
    this.messages = new Messages(now);
  }

  answer(method: string, args: Args, auth: string): Reply {
    if (this.cut) return 'cut';
    this.calls.push({ method, args, auth });
    const fault = this.faults.take(method, args);
    if (fault !== null) {
      if (fault.afterStore === true) this.does(method, args);
      return replyOf(fault);
    }
    const token = method === 'apps.connections.open' ? BOT.appToken : BOT.token;
    if (auth !== `Bearer ${token}`) return ok({ ok: false, error: 'invalid_auth' });
    const reply = ok(this.does(method, args));
    if (method !== 'auth.test' || this.scopes === null || typeof reply === 'string') return reply;
    return {
      ...reply,
      headers: { 'x-oauth-scopes': this.scopes.join(','), date: new Date(this.now()).toUTCString() },
    };
  }

  private does(method: string, args: Args): object {
    const { unknown = [], only } = this.level;
    if (unknown.includes(method) || (only !== undefined && !only.includes(method)))
      return { ok: false, error: 'unknown_method' };
    const { channel = '', ts = '', user = '' } = args;
    switch (method) {
      case 'auth.test':
        return {
          ok: true,
          url: 'https://standin.example/',
          team: 'Standin',
          user: 'warden',
          team_id: BOT.team,
          user_id: BOT.user,
          bot_id: BOT.bot,
        };
      case 'apps.connections.open':
        return { ok: true, url: `${this.base().ws}/link/?ticket=${++this.count}` };
      case 'chat.postMessage':
        return this.post(channel, args);
      case 'chat.postEphemeral':
        this.whispers.push({ channel, user, text: args.text ?? '' });
        return { ok: true, message_ts: this.messages.stamp() };
      case 'chat.update':
        return this.update(this.messages.at(channel, ts), args);
      case 'conversations.replies':
      case 'conversations.history':
        return this.read(method, args);
      case 'conversations.info': {
        const room = this.rooms.get(channel);
        if (room === undefined) return { ok: false, error: 'channel_not_found' };
        return {
          ok: true,
          channel: { id: channel, is_member: room.member ?? true, is_ext_shared: room.shared ?? false },
        };
      }
      case 'users.info': {
        const person = this.people.get(user);
        if (person === undefined) return { ok: false, error: 'user_not_found' };
        const { name, restricted = false, stranger = false } = person;
        return {
          ok: true,
          user: {
            id: user,
            team_id: BOT.team,
            is_restricted: restricted,
            is_stranger: stranger,
            profile: { display_name: name, real_name: name },
          },
        };
      }
      case 'views.publish':
        this.refused.push(...tooMuch((parsed(args.view) as { blocks: unknown[] }).blocks, 100));
        this.homes.set(args.user_id ?? '', parsed(args.view));
        return { ok: true, view: { id: 'VHOME', hash: '1.abc', type: 'home' } };
      case 'files.getUploadURLExternal': {
        const id = `F${++this.count}`;
        const alt = args.alt_txt === undefined ? {} : { alt: args.alt_txt };
        this.files.set(id, { name: args.filename ?? '', bytes: Buffer.alloc(0), shown: null, ...alt });
        return { ok: true, upload_url: `${this.base().http}/upload/${id}`, file_id: id };
      }
      case 'files.completeUploadExternal': {
        const files = parsed(args.files) as { id: string }[];
        for (const { id } of files) {
          const file = this.files.get(id);
          if (file === undefined) continue;
          file.shown = args.thread_ts ?? args.channel_id ?? '';
          file.comment = args.initial_comment ?? '';
        }
        return { ok: true, files };
      }
      case 'reactions.add':
        return { ok: true };
      default:
        return { ok: false, error: 'unknown_method' };
    }
  }

  private post(channel: string, args: Args): object {
    if (this.rooms.size > 0 && !this.rooms.has(channel)) return { ok: false, error: 'channel_not_found' };
    const faults = tooMuch(args.blocks === undefined ? [] : (parsed(args.blocks) as unknown[]));
    this.refused.push(...faults);
    if (faults.length > 0) return { ok: false, error: 'invalid_blocks', errors: faults };
    const metadata =
      args.metadata === undefined || this.level.dropsMetadata === true ? undefined : parsed(args.metadata);
    const stored = this.messages.store({
      channel,
      user: BOT.user,
      bot_id: BOT.bot,
      text: args.text ?? '',
      ...(args.thread_ts === undefined ? {} : { thread_ts: args.thread_ts }),
      ...(args.blocks === undefined ? {} : { blocks: parsed(args.blocks) as unknown[] }),
      ...(metadata === undefined ? {} : { metadata: metadata as NonNullable<Message['metadata']> }),
    });
    return { ok: true, channel, ts: stored.ts, message: { text: stored.text, ts: stored.ts } };
  }

  private update(message: Message | undefined, args: Args): object {
    if (message === undefined) return { ok: false, error: 'message_not_found' };
    if ((args.text ?? '').length > 4000) return { ok: false, error: 'msg_too_long' };
    message.first ??= JSON.stringify(message.blocks ?? []);
    message.text = args.text ?? message.text;
    message.blocks = args.blocks === undefined ? [] : (parsed(args.blocks) as unknown[]);
    return { ok: true, channel: message.channel, ts: message.ts, text: message.text };
  }

  private read(method: string, args: Args): object {
    const { channel = '', ts = '', oldest, inclusive, limit, cursor, include_all_metadata } = args;
    const asked = {
      channel,
      oldest,
      cursor: cursor === '' ? undefined : cursor,
      inclusive: inclusive === 'true',
      limit: limit === undefined ? undefined : Number(limit),
      metadata: include_all_metadata === 'true',
    };
    const page =
      method === 'conversations.replies' ? this.messages.replies(ts, asked) : this.messages.history(asked);
    return {
      ok: true,
      messages: page.messages,
      has_more: page.has_more,
      response_metadata: { next_cursor: page.cursor },
    };
  }
}

const ok = (body: object): Reply => ({ status: 200, headers: {}, body });
const parsed = (json: string | undefined): unknown => JSON.parse(json ?? 'null');
