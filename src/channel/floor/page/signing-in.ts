import { signIn } from './send.js';
import type { Tab } from './tab.js';
import { type SigningIn as Form, NO_SIGN_IN, withDigit } from './ui.js';

/** Who speaks from this tab: the form of the sign-in, and what came of it. */
export class SigningIn {
  /** Where one came from to sign in. */
  private before = '#/';

  constructor(
    private readonly tab: Tab,
    private readonly signedIn: () => void,
  ) {}

  /** The tab shows another screen. */
  moved(hash: string, here: boolean): void {
    if (!here) this.before = hash || '#/';
    this.tab.put({ signIn: NO_SIGN_IN });
  }

  as(person: string): void {
    this.put({ person, digits: '', pinWanted: false, why: '' });
  }

  own(own: boolean): void {
    this.put({ own });
  }

  press(digit: string): void {
    this.put({ digits: withDigit(this.tab.ui().signIn.digits, digit) });
  }

  async finish(): Promise<void> {
    const { person, own, digits, busy } = this.tab.ui().signIn;
    if (person === null || busy) return;
    this.put({ busy: true, why: '' });
    const sent = await signIn({ person, own, ...(digits === '' ? {} : { pin: digits }) });
    if (sent.is === 'taken') {
      this.signedIn();
      this.tab.put({ refused: new Map() });
      location.hash = this.before;
      return;
    }
    const why = 'why' in sent && sent.why !== '' ? sent.why : 'That was not taken. Try again.';
    const pinWanted = this.tab.ui().signIn.pinWanted || sent.is === 'pin';
    this.put({ busy: false, digits: '', pinWanted, why });
  }

  private put(part: Partial<Form>): void {
    this.tab.put({ signIn: { ...this.tab.ui().signIn, ...part } });
  }
}
