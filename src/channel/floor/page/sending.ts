import { draftOf, keepDraft } from './draft.js';
import { fitting } from './picture-file.js';
import type { Seen } from './seen.js';
import { newKey, type Saying, type Sent, say, sendPhoto } from './send.js';
import type { ThreadId } from './state.js';
import type { Tab } from './tab.js';
import { withDigit } from './ui.js';

/** What is sent from this tab, one thing of a thread at a time, and what came of it. */
export class Sending {
  constructor(
    private readonly tab: Tab,
    private readonly seen: Seen,
  ) {}

  /** Sends something in a thread; nothing goes while the page may be old or another send is under way. */
  async send(thread: ThreadId, saying: Saying): Promise<void> {
    if (!this.free(thread)) return;
    this.refuse(thread, null);
    this.busy(thread, 'text' in saying ? saying.text : saying.tap.says);
    const sent = await say(saying);
    this.busy(thread, null);
    this.settle(thread, saying, sent);
  }

  /** Sends what stands in the box of a thread. */
  sendDraft(thread: ThreadId, bay: string): void {
    const draft = draftOf(thread);
    const text = draft.text.trim();
    if (text === '') return;
    const to = thread === 'foreman' || thread === 'shop' ? thread : 'bay';
    void this.send(thread, { key: draft.key, bay, thread: to, seen: this.seen.of(thread), text });
  }

  async photo(bay: string, file: File): Promise<void> {
    const thread: ThreadId = `bay:${bay}`;
    if (!this.free(thread)) return;
    this.refuse(thread, null);
    this.busy(thread, 'photo');
    try {
      const image = await fitting(file);
      const sent = await sendPhoto({ key: newKey(), bay, seen: this.seen.of(thread), text: '' }, image);
      if (sent.is !== 'taken')
        this.refuse(thread, sent.is === 'sign-in' ? 'Sign in first.' : `The photo: ${sent.why}`);
    } catch {
      this.refuse(thread, 'That file is no picture that can be read.');
    }
    this.busy(thread, null);
  }

  press(digit: string): void {
    const { pin } = this.tab.ui();
    if (pin !== null) this.tab.put({ pin: { ...pin, digits: withDigit(pin.digits, digit) } });
  }

  /** Sends again what needs its speaker's PIN, now with it. */
  async finishPin(): Promise<void> {
    const { pin } = this.tab.ui();
    if (pin === null || pin.busy || pin.digits === '') return;
    this.tab.put({ pin: { ...pin, busy: true } });
    const saying: Saying = { ...pin.saying, pin: pin.digits };
    this.settle(pin.thread, saying, await say(saying));
  }

  /** Back from the PIN to the box; where a finger does the work, no keyboard is put up for it. */
  leavePin(): void {
    if (this.tab.ui().pin === null) return;
    this.tab.put({ pin: null });
    this.tab.focusSoon(matchMedia('(pointer: fine)').matches ? '.box-row input' : 'h1');
  }

  /** Says why the last send of a thread had no effect; null takes it away. */
  refuse(thread: ThreadId, why: string | null): void {
    this.tab.put({ refused: withOne(this.tab.ui().refused, thread, why) });
  }

  private busy(thread: ThreadId, words: string | null): void {
    this.tab.put({ sending: withOne(this.tab.ui().sending, thread, words) });
  }

  private free(thread: ThreadId): boolean {
    return this.tab.live() && !this.tab.ui().sending.has(thread);
  }

  private settle(thread: ThreadId, saying: Saying, sent: Sent): void {
    const { tab } = this;
    switch (sent.is) {
      case 'taken':
        // What was typed meanwhile stays.
        if ('text' in saying && draftOf(thread).text.trim() === saying.text) keepDraft(thread, '');
        return this.leavePin();
      case 'pin':
        tab.put({ pin: { saying, thread, why: 'pin' in saying ? sent.why : '', digits: '', busy: false } });
        return tab.focusSoon('#pin-head');
      case 'sign-in':
        this.refuse(thread, 'Sign in first.');
        location.hash = '#/sign-in';
        return;
      case 'refused': {
        const { pin } = tab.ui();
        if (pin !== null) return tab.put({ pin: { ...pin, why: sent.why, digits: '', busy: false } });
        return this.refuse(thread, sent.why);
      }
      case 'unknown':
        tab.put({ pin: null });
        return this.refuse(thread, `${sent.why} Sent again as it is, it counts once.`);
    }
  }
}

function withOne(all: ReadonlyMap<ThreadId, string>, thread: ThreadId, words: string | null) {
  const changed = new Map(all);
  if (words === null) changed.delete(thread);
  else changed.set(thread, words);
  return changed;
}
