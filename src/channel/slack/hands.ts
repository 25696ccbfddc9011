import type { Clock } from '../../desk/clock.js';
import type { Body } from '../../job/input.js';
import type { Drawn } from './blocks.js';
import { readButton } from './button.js';
import type { DeskView } from './desk-view.js';
import type { Give } from './give.js';
import type { Identity } from './identity.js';
import type { Ledger } from './ledger.js';
import { REACTION, type Tap } from './payload.js';
import type { People } from './people.js';
import { instantOf, placeOf, stampAt } from './place.js';
import type { ReadMessage } from './reading.js';
import { VIA } from './rooms.js';
import type { Whisper } from './whisper.js';

export type HandsParts = {
  readonly desk: DeskView;
  readonly clock: Clock;
  readonly identity: Identity;
  readonly ledger: Ledger;
  readonly people: People;
  readonly whisper: Whisper;
  readonly give: Give;
  readonly coveredSince: () => number;
  readonly isShared: (channel: string) => boolean;
  /** Takes the buttons of a stale post away. */
  readonly redraw: (channel: string, ts: string, drawn: Drawn) => void;
};

/** What people do without words: taps on our buttons, reactions to our posts. Each settles and throws as words do. */
export class Hands {
  /** Reactions that were taken in this run: one that is read again after an outage is the same one. */
  private readonly taken = new Set<string>();

  constructor(private readonly parts: HandsParts) {}

  /** A tap on a button of ours. */
  async tap({ user, container, actions, message }: Tap): Promise<void> {
    const { desk, ledger, identity, people, whisper, give, redraw } = this.parts;
    const action = actions[0];
    const carried = readButton(action?.value ?? '');
    const { channel_id: channel, message_ts } = container;
    const thread = carried === null ? null : ledger.threadOf(carried.job);
    if (action === undefined || carried === null || thread === null) return;
    const self = await identity.ask();
    const stamp = action.action_ts ?? message_ts;
    const to = { channel, thread: thread.channel === channel ? thread.root : null, user: user.id };
    const job = desk.jobOf(thread.bay);
    if (job?.id !== carried.job) whisper(to, 'That job has ended; nothing was changed.');
    else {
      const body: Body = { is: 'tap', says: carried.says, visit: carried.visit };
      const key = `${VIA}:${channel}:tap:${user.id}:${message_ts}:${action.action_id}:${stamp}`;
      const who = people.who(user.id, user.team_id != null && user.team_id !== self.team);
      await give(
        { key, stamp, channel, thread: to.thread, user: user.id, who, marks: {}, body, late: false },
        thread.bay,
      );
    }
    const now = desk.jobOf(thread.bay);
    const stands =
      now?.id === carried.job && now.asked?.what !== undefined && String(now.asked.visit) === carried.visit;
    const drawn = { text: message?.text ?? '', blocks: (message?.blocks ?? []) as Drawn['blocks'] };
    if (!stands && drawn.blocks.length > 0) redraw(channel, message_ts, drawn);
  }

  /** A reaction, from its event. */
  async reaction(event: unknown): Promise<void> {
    const read = REACTION.safeParse(event);
    const channel = read.data?.item.channel ?? '';
    const on = read.data?.item.ts ?? '';
    if (!read.success || channel === '' || on === '' || this.parts.isShared(channel)) return;
    const { user, reaction, event_ts } = read.data;
    const bay = this.bayOfPost(channel, placeOf(on));
    if (bay === null) return;
    const late = instantOf(event_ts) < this.parts.coveredSince();
    await this.react({ channel, on, user, name: reaction, stamp: event_ts, late }, bay);
  }

  /**
   * Reactions that stand on a post when it is read again after an outage. Only those on the question that is open now
   * can still mean something: of all others nobody knows whether they were taken before a restart.
   */
  async stood(channel: string, { ts: on, reactions }: ReadMessage): Promise<void> {
    const { desk, clock } = this.parts;
    const bay = this.bayOfPost(channel, placeOf(on));
    for (const { name, users } of bay === null ? [] : (reactions ?? [])) {
      for (const user of users ?? []) {
        const job = desk.jobOf(bay ?? '');
        const open = job?.asked != null && job.places[job.asked.seq] === placeOf(on);
        if (bay === null || !open || this.taken.has(idOf(user, on, name))) continue;
        await this.react({ channel, on, user, name, stamp: stampAt(clock.now()), late: true }, bay);
      }
    }
  }

  private async react(
    {
      channel,
      on,
      user,
      name: whole,
      stamp,
      late,
    }: {
      readonly channel: string;
      readonly on: string;
      readonly user: string;
      readonly name: string;
      readonly stamp: string;
      readonly late: boolean;
    },
    bay: string,
  ): Promise<void> {
    const [name = whole] = whole.split('::');
    const key = `${VIA}:${channel}:reaction:${user}:${on}:${name}:${stamp}`;
    const body: Body = { is: 'reaction', name, on: placeOf(on) };
    const who = this.parts.people.who(user, false);
    await this.parts.give({ key, stamp, channel, thread: null, user, who, marks: {}, body, late }, bay);
    this.taken.add(idOf(user, on, whole));
  }

  private bayOfPost(channel: string, place: string): string | null {
    const { desk, ledger } = this.parts;
    for (const { id } of desk.bays()) {
      const job = desk.jobOf(id);
      if (job === null || ledger.threadOf(job.id)?.channel !== channel) continue;
      if (Object.values(job.places).includes(place)) return id;
    }
    return null;
  }
}

const idOf = (user: string, on: string, name: string) => `${user}:${on}:${name}`;
