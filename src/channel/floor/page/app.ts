import { render } from 'lit-html';
import type { Place } from '../../../job/input.js';
import type { Picture } from '../../../record/picture.js';
import { ShopClock } from './clock.js';
import { draftOf, keepDraft } from './draft.js';
import { type Heard, Live } from './live.js';
import { keptLook, nextLook, putLook } from './look.js';
import { partsNow } from './now-view.js';
import { fitting } from './picture-file.js';
import { bayPath, routeOf } from './route.js';
import { screenView } from './screen-view.js';
import { Seen, STOOD_MS } from './seen.js';
import { newKey, type Saying, type Sent, say, sendPhoto, signIn, signOut } from './send.js';
import {
  bayLabel,
  entriesOf,
  NOTHING,
  type PostEntry,
  type State,
  type ThreadId,
  withEntry,
  withOver,
} from './state.js';
import { StopCalls } from './stop-calls.js';
import { stopBays } from './top-view.js';
import { type Acts, NO_SIGN_IN, type Scene, type Ui } from './ui.js';
import { speak } from './voice.js';
import { plain } from './words-view.js';

const MOST_DIGITS = 12;
/** Clocks are drawn anew this often. */
const BEAT_MS = 250;

/** Holds what is known and what this tab is busy with, and draws one from the other. */
export class App {
  private state: State = NOTHING;
  private ui: Ui = {
    route: routeOf(location.hash),
    look: keptLook(),
    sending: new Map(),
    refused: new Map(),
    pin: null,
    signIn: NO_SIGN_IN,
    foremanBay: null,
    start: { bay: null, flow: null, car: null },
    stops: [],
    pictures: { is: 'none' },
    unfolded: new Set(),
    resting: false,
  };
  private readonly clock = new ShopClock();
  private readonly seen = new Seen();
  private readonly stops = new StopCalls(
    (stops) => this.put({ stops }),
    () => this.clock.now(),
  );
  private readonly live = new Live({
    after: () => this.state.place,
    heard: (what) => this.heard(what),
    live: () => this.know({ ...this.state, link: { is: 'live' } }),
    catchingUp: () => this.catchingUp(),
    cutOff: () => this.cutOff(),
  });
  private due = false;
  /** Where one came from to sign in. */
  private before = '#/';

  constructor(private readonly root: HTMLElement) {}

  start(): void {
    putLook(this.ui.look);
    addEventListener('hashchange', () => {
      this.moved();
      // Who came by a link goes on reading at the new screen's name.
      this.focusSoon('h1');
    });
    document.addEventListener('visibilitychange', () => this.draw());
    setInterval(() => this.drawSoon(), BEAT_MS);
    this.moved();
    this.live.start();
  }

  private know(state: State): void {
    this.state = state;
    this.drawSoon();
  }

  private put(part: Partial<Ui>): void {
    this.ui = { ...this.ui, ...part };
    this.drawSoon();
  }

  private heard(what: Heard): void {
    switch (what.is) {
      case 'hello':
        this.clock.heardNow(what.hello.now);
        return this.know({ ...this.state, hello: what.hello });
      case 'board':
        this.clock.heardNow(what.board.at);
        // What changes the board may have changed the pictures.
        if (this.ui.route.is === 'pictures') void this.fetchPictures(this.ui.route.bay);
        return this.know({ ...this.state, board: what.board });
      case 'gone':
        return this.know(withOver(this.state, what.place));
      case 'said':
        this.clock.heardAt(what.said.at);
        return this.know(withEntry(this.state, { is: 'said', ...what.said }));
      case 'post': {
        const post: PostEntry = { is: 'post', ...what.post };
        this.clock.heardAt(post.at);
        this.know(withEntry(this.state, post));
        if (this.state.link.is === 'live') this.announce(post);
      }
    }
  }

  private catchingUp(): void {
    // Cut off stays said until everything has been heard.
    if (this.state.link.is !== 'cut-off') this.know({ ...this.state, link: { is: 'catching-up' } });
  }

  private cutOff(): void {
    if (this.state.link.is === 'cut-off') return;
    this.know({ ...this.state, link: { is: 'cut-off', since: this.clock.now() } });
  }

  /** Cards are read out at once, whatever screen is open; a question only where it is the one on the screen. */
  private announce(post: PostEntry): void {
    const scene = this.scene();
    const lines = post.lines.map((one) => plain(one, scene.zone));
    const bay = bayLabel(this.state, post.bay);
    if (post.kind === 'card') return speak(`${bay}: ${lines.join(' ')}`, 'urgent');
    const { route } = this.ui;
    const here = post.thread === 'bay' && route.is === 'bay' && route.bay === post.bay;
    if (here && post.kind === 'question') {
      const parts = partsNow(scene, post.bay, post);
      const word = parts.word === null ? [] : [`Type or say ${parts.word}`];
      return speak(
        [...parts.tags, parts.tool ?? '', parts.head, ...parts.ask, ...word]
          .filter((one) => one !== '')
          .join('. '),
        'calm',
      );
    }
    if (here || (post.thread === 'foreman' && route.is === 'foreman')) speak(lines.join(' '), 'calm');
  }

  private drawSoon(): void {
    if (this.due) return;
    this.due = true;
    requestAnimationFrame(() => {
      this.due = false;
      this.draw();
    });
  }

  private draw(): void {
    const thread = this.threadHere();
    if (thread !== null) {
      const newest = this.newestPost(thread);
      this.seen.drawn(thread, newest, document.visibilityState === 'visible', Date.now());
      const resting = this.seen.fresh(thread, newest);
      if (resting && !this.ui.resting) setTimeout(() => this.drawSoon(), STOOD_MS + 10);
      if (resting !== this.ui.resting) this.ui = { ...this.ui, resting };
    }
    render(screenView(this.scene()), this.root);
    document.title = this.title();
  }

  private title(): string {
    const worst = Math.max(0, ...(this.state.board?.rows.map(({ attention }) => attention) ?? []));
    const { route } = this.ui;
    const where = route.is === 'bay' ? bayLabel(this.state, route.bay) : (this.state.hello?.name ?? 'Floor');
    return worst === 3 ? `STOP · ${where}` : where;
  }

  private scene(): Scene {
    return {
      state: this.state,
      ui: this.ui,
      acts: this.acts,
      now: this.clock.now(),
      zone: this.state.hello?.zone ?? 'UTC',
      draft: (thread) => draftOf(thread).text,
    };
  }

  private threadHere(): ThreadId | null {
    const { route, pin } = this.ui;
    if (pin !== null) return null;
    if (route.is === 'bay') return `bay:${route.bay}`;
    return route.is === 'foreman' ? 'foreman' : null;
  }

  private newestPost(thread: ThreadId): Place | null {
    return entriesOf(this.state, thread).findLast((entry) => entry.is === 'post')?.place ?? null;
  }

  private moved(): void {
    const route = routeOf(location.hash);
    if (route.is !== 'sign-in') this.before = location.hash || '#/';
    this.put({ route, pin: null, signIn: NO_SIGN_IN });
    if (route.is === 'pictures') void this.fetchPictures(route.bay);
    scrollTo(0, 0);
  }

  private async fetchPictures(bay: string): Promise<void> {
    const { pictures } = this.ui;
    if (pictures.is !== 'there' || pictures.bay !== bay) this.put({ pictures: { is: 'loading', bay } });
    try {
      const answer = await fetch(`/pictures/${encodeURIComponent(bay)}`);
      if (!answer.ok) throw new Error(String(answer.status));
      const { pictures } = (await answer.json()) as { pictures: readonly Picture[] };
      this.put({ pictures: { is: 'there', bay, pictures } });
    } catch {
      this.put({ pictures: { is: 'failed', bay } });
    }
  }

  private refuse(thread: ThreadId, why: string | null): void {
    const refused = new Map(this.ui.refused);
    if (why === null) refused.delete(thread);
    else refused.set(thread, why);
    this.put({ refused });
  }

  private busy(thread: ThreadId, words: string | null): void {
    const sending = new Map(this.ui.sending);
    if (words === null) sending.delete(thread);
    else sending.set(thread, words);
    this.put({ sending });
  }

  /** Sends something in a thread; nothing goes while the page may be old or another send is under way. */
  private async send(thread: ThreadId, saying: Saying): Promise<void> {
    if (this.state.link.is !== 'live' || this.ui.sending.has(thread)) return;
    this.refuse(thread, null);
    this.busy(thread, 'text' in saying ? saying.text : saying.tap.says);
    const sent = await say(saying);
    this.busy(thread, null);
    this.settle(thread, saying, sent);
  }

  private settle(thread: ThreadId, saying: Saying, sent: Sent): void {
    switch (sent.is) {
      case 'taken':
        // What was typed meanwhile stays.
        if ('text' in saying && draftOf(thread).text.trim() === saying.text) keepDraft(thread, '');
        return this.leavePin();
      case 'pin':
        this.put({
          pin: { saying, thread, why: 'pin' in saying ? sent.why : '', digits: '', busy: false },
        });
        return this.focusSoon('#pin-head');
      case 'sign-in':
        this.refuse(thread, 'Sign in first.');
        location.hash = '#/sign-in';
        return;
      case 'refused':
        if (this.ui.pin !== null)
          return this.put({ pin: { ...this.ui.pin, why: sent.why, digits: '', busy: false } });
        return this.refuse(thread, sent.why);
      case 'unknown':
        this.put({ pin: null });
        return this.refuse(thread, `${sent.why} Sent again as it is, it counts once.`);
    }
  }

  /** Back from the PIN to the box; where a finger does the work, no keyboard is put up for it. */
  private leavePin(): void {
    if (this.ui.pin === null) return;
    this.put({ pin: null });
    this.focusSoon(matchMedia('(pointer: fine)').matches ? '.box-row input' : 'h1');
  }

  private focusSoon(selector: string): void {
    requestAnimationFrame(() =>
      requestAnimationFrame(() => this.root.querySelector<HTMLElement>(selector)?.focus()),
    );
  }

  private async finishSignIn(): Promise<void> {
    const { person, own, digits, busy } = this.ui.signIn;
    if (person === null || busy) return;
    this.put({ signIn: { ...this.ui.signIn, busy: true, why: '' } });
    const sent = await signIn({ person, own, ...(digits === '' ? {} : { pin: digits }) });
    if (sent.is === 'taken') {
      this.live.reopen();
      this.put({ refused: new Map() });
      location.hash = this.before;
      return;
    }
    const why = 'why' in sent && sent.why !== '' ? sent.why : 'That was not taken. Try again.';
    const pinWanted = this.ui.signIn.pinWanted || sent.is === 'pin';
    this.put({ signIn: { ...this.ui.signIn, busy: false, digits: '', pinWanted, why } });
  }

  private press(digit: string): void {
    const grown = (digits: string) =>
      digit === 'clear'
        ? ''
        : digit === 'back'
          ? digits.slice(0, -1)
          : (digits + digit).slice(0, MOST_DIGITS);
    const { pin, signIn: signingIn } = this.ui;
    if (pin !== null) this.put({ pin: { ...pin, digits: grown(pin.digits) } });
    else this.put({ signIn: { ...signingIn, digits: grown(signingIn.digits) } });
  }

  private async finishPin(): Promise<void> {
    const { pin } = this.ui;
    if (pin === null || pin.busy || pin.digits === '') return;
    this.put({ pin: { ...pin, busy: true } });
    const saying: Saying = { ...pin.saying, pin: pin.digits };
    this.settle(pin.thread, saying, await say(saying));
  }

  private async photo(bay: string, file: File): Promise<void> {
    const thread: ThreadId = `bay:${bay}`;
    if (this.state.link.is !== 'live' || this.ui.sending.has(thread)) return;
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

  private readonly acts: Acts = {
    typed: (thread, text) => {
      keepDraft(thread, text);
      if (this.ui.refused.has(thread)) this.refuse(thread, null);
      this.drawSoon();
    },
    send: (thread, bay) => {
      const draft = draftOf(thread);
      const text = draft.text.trim();
      if (text === '') return;
      const seen = this.seen.of(thread);
      const to = thread === 'foreman' || thread === 'shop' ? thread : 'bay';
      void this.send(thread, { key: draft.key, bay, thread: to, seen, text });
    },
    tap: (bay, says, visit) => {
      const thread: ThreadId = `bay:${bay}`;
      if (this.ui.resting) return;
      const about = { key: newKey(), bay, thread: 'bay' as const, seen: this.seen.of(thread) };
      void this.send(thread, visit === null ? { ...about, text: says } : { ...about, tap: { says, visit } });
    },
    fill: (thread, text) => {
      keepDraft(thread, text);
      this.drawSoon();
    },
    photo: (bay, file) => void this.photo(bay, file),
    stop: () => this.stops.press(stopBays({ state: this.state, ui: this.ui })),
    stopBay: (bay) => this.stops.press([bay]),
    callBackStop: (key) => this.stops.leaveOff(key),
    press: (digit) => this.press(digit),
    signInAs: (person) =>
      this.put({ signIn: { ...this.ui.signIn, person, digits: '', pinWanted: false, why: '' } }),
    own: (own) => this.put({ signIn: { ...this.ui.signIn, own } }),
    finishSignIn: () => void this.finishSignIn(),
    signOut: () => void signOut().then(() => this.live.reopen()),
    finishPin: () => void this.finishPin(),
    dropPin: () => this.leavePin(),
    foremanBay: (foremanBay) => this.put({ foremanBay }),
    start: (part) => this.put({ start: { ...this.ui.start, ...part } }),
    begin: (bay, number) => {
      const { car } = this.ui.start;
      const flow = this.ui.start.flow ?? this.state.hello?.flows[0]?.id ?? null;
      if (flow === null || car === null) return;
      const thread: ThreadId = `bay:${bay}`;
      const text = `start ${flow} ${car} ${number.trim()}`.trim();
      void this.send(thread, { key: newKey(), bay, thread: 'bay', seen: this.seen.of(thread), text }).then(
        () => {
          if (!this.ui.refused.has(thread)) location.hash = bayPath(bay);
        },
      );
    },
    nextLook: () => {
      const look = nextLook(this.ui.look);
      putLook(look);
      this.put({ look });
    },
    unfold: (thread) => this.put({ unfolded: new Set(this.ui.unfolded).add(thread) }),
    retry: () => this.live.reopen(),
  };
}
