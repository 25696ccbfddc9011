import { render } from 'lit-html';
import type { Place } from '../../../job/input.js';
import { announce } from './announce.js';
import { ShopClock } from './clock.js';
import { draftOf, keepDraft } from './draft.js';
import { type Heard, Live } from './live.js';
import { keptLook, nextLook, putLook } from './look.js';
import { fetchPictures } from './picture-fetch.js';
import { bayPath, routeOf } from './route.js';
import { screenView } from './screen-view.js';
import { Seen, STOOD_MS } from './seen.js';
import { newKey, signOut } from './send.js';
import { Sending } from './sending.js';
import { SigningIn } from './signing-in.js';
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
import type { Tab } from './tab.js';
import { stopBays } from './top-view.js';
import { type Acts, NO_SIGN_IN, type Scene, type Ui } from './ui.js';

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
    foremanBay: 'foreman',
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
  private readonly tab: Tab = {
    ui: () => this.ui,
    put: (part) => this.put(part),
    live: () => this.state.link.is === 'live',
    focusSoon: (selector) => this.focusSoon(selector),
  };
  private readonly sending = new Sending(this.tab, this.seen);
  private readonly signing = new SigningIn(this.tab, () => this.live.reopen());
  private due = false;

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
        if (this.ui.route.is === 'pictures') void fetchPictures(this.tab, this.ui.route.bay);
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
        if (this.state.link.is === 'live') announce(this.scene(), post);
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
    this.signing.moved(location.hash, route.is === 'sign-in');
    this.put({ route, pin: null });
    if (route.is === 'pictures') void fetchPictures(this.tab, route.bay);
    scrollTo(0, 0);
  }

  private focusSoon(selector: string): void {
    requestAnimationFrame(() =>
      requestAnimationFrame(() => this.root.querySelector<HTMLElement>(selector)?.focus()),
    );
  }

  private readonly acts: Acts = {
    typed: (thread, text) => {
      keepDraft(thread, text);
      if (this.ui.refused.has(thread)) this.sending.refuse(thread, null);
      this.drawSoon();
    },
    send: (thread, bay) => this.sending.sendDraft(thread, bay),
    tap: (bay, says, visit) => {
      const thread: ThreadId = `bay:${bay}`;
      if (this.ui.resting) return;
      const about = { key: newKey(), bay, thread: 'bay' as const, seen: this.seen.of(thread) };
      void this.sending.send(
        thread,
        visit === null ? { ...about, text: says } : { ...about, tap: { says, visit } },
      );
    },
    fill: (thread, text) => {
      keepDraft(thread, text);
      this.drawSoon();
    },
    photo: (bay, file) => void this.sending.photo(bay, file),
    stop: () => this.stops.press(stopBays({ state: this.state, ui: this.ui })),
    stopBay: (bay) => this.stops.press([bay]),
    callBackStop: (key) => this.stops.leaveOff(key),
    press: (digit) => (this.ui.pin === null ? this.signing : this.sending).press(digit),
    signInAs: (person) => this.signing.as(person),
    own: (own) => this.signing.own(own),
    finishSignIn: () => void this.signing.finish(),
    signOut: () => void signOut().then(() => this.live.reopen()),
    finishPin: () => void this.sending.finishPin(),
    dropPin: () => this.sending.leavePin(),
    foremanBay: (foremanBay) => this.put({ foremanBay }),
    start: (part) => this.put({ start: { ...this.ui.start, ...part } }),
    begin: (bay, number) => {
      const { car } = this.ui.start;
      const flow = this.ui.start.flow ?? this.state.hello?.flows[0]?.id ?? null;
      if (flow === null || car === null) return;
      const thread: ThreadId = `bay:${bay}`;
      const text = `start ${flow} ${car} ${number.trim()}`.trim();
      void this.sending
        .send(thread, { key: newKey(), bay, thread: 'bay', seen: this.seen.of(thread), text })
        .then(() => {
          if (!this.ui.refused.has(thread)) location.hash = bayPath(bay);
        });
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
