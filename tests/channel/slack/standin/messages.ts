/** A message as the platform keeps it. */
export type Message = {
  readonly channel: string;
  readonly ts: string;
  readonly thread_ts?: string;
  readonly user?: string;
  readonly bot_id?: string;
  text: string;
  blocks?: readonly unknown[];
  readonly metadata?: {
    readonly event_type: string;
    readonly event_payload: Readonly<Record<string, unknown>>;
  };
  /** What it looked like at first, while it has been redrawn since. */
  first?: string;
  files?: readonly unknown[];
  reactions?: { name: string; users: string[]; count: number }[];
};

export type Asked = {
  readonly channel: string;
  readonly oldest?: string | undefined;
  readonly inclusive?: boolean | undefined;
  readonly limit?: number | undefined;
  readonly cursor?: string | undefined;
  readonly metadata?: boolean | undefined;
};

export type Page = {
  readonly messages: readonly object[];
  readonly has_more: boolean;
  readonly cursor: string;
};

/** All messages of a workspace in the order of their time stamps. Every stamp is later than the one before. */
export class Messages {
  readonly all: Message[] = [];
  private last = 0;

  constructor(private readonly now: () => number) {}

  /** The next time stamp, `seconds.micros`; never the same twice and never back. */
  stamp(): string {
    this.last = Math.max(this.now() * 1000, this.last + 1);
    return `${Math.floor(this.last / 1_000_000)}.${String(this.last % 1_000_000).padStart(6, '0')}`;
  }

  store(message: Omit<Message, 'ts'>): Message {
    const stored = { ...message, ts: this.stamp() };
    this.all.push(stored);
    return stored;
  }

  at(channel: string, ts: string): Message | undefined {
    return this.all.find((one) => one.channel === channel && one.ts === ts);
  }

  /** The root and its replies, oldest first. */
  replies(root: string, asked: Asked): Page {
    const { channel } = asked;
    return this.page(
      this.all.filter((one) => one.channel === channel && (one.ts === root || one.thread_ts === root)),
      asked,
    );
  }

  /** What stands at channel level, newest first as the platform gives it. */
  history(asked: Asked): Page {
    const top = this.all.filter((one) => one.channel === asked.channel && one.thread_ts === undefined);
    return this.page(top.toReversed(), asked);
  }

  private page(found: readonly Message[], { oldest, inclusive, limit = 100, cursor, metadata }: Asked): Page {
    const from = Number(cursor ?? 0);
    const within = found.filter(
      ({ ts }) => oldest === undefined || (inclusive === true ? ts >= oldest : ts > oldest),
    );
    const messages = within.slice(from, from + limit).map((one) => shown(one, metadata === true));
    const has_more = from + limit < within.length;
    return { messages, has_more, cursor: has_more ? String(from + limit) : '' };
  }
}

/** Without being asked for, only the type of the metadata is given. */
function shown({ first: _, metadata, ...message }: Message, whole: boolean): object {
  const given = whole ? metadata : metadata && { event_type: metadata.event_type };
  return { type: 'message', ...message, ...(given === undefined ? {} : { metadata: given }) };
}
