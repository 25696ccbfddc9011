import { newKey, type Sent, say } from './send.js';
import type { StopCall } from './ui.js';

const AGAIN_MS = 2_000;
/** How long a STOP that is through is said to be. */
const SHOWN_MS = 8_000;

/**
 * STOP as it is sent from here: at once, by anybody, cut off or not. One that does not get through is sent again, with
 * the same key, until it is through or somebody leaves off: it is the one word that is better late than never.
 */
export class StopCalls {
  private calls: readonly StopCall[] = [];

  constructor(
    private readonly changed: (calls: readonly StopCall[]) => void,
    private readonly now: () => number,
  ) {}

  press(bays: readonly string[]): void {
    for (const bay of bays) {
      if (this.calls.some((call) => call.bay === bay && call.is !== 'through')) continue;
      const call: StopCall = { bay, key: newKey(), at: this.now(), is: 'calling', why: '' };
      this.put([...this.calls.filter((one) => one.bay !== bay), call]);
      void this.send(call);
    }
  }

  leaveOff(key: string): void {
    this.put(this.calls.filter((call) => call.key !== key));
  }

  private async send({ key, bay }: StopCall): Promise<void> {
    const sent = await say({ key, bay, thread: 'bay', seen: null, text: 'stop' });
    if (!this.calls.some((call) => call.key === key)) return;
    if (sent.is === 'taken') {
      this.change(key, { is: 'through', why: '' });
      setTimeout(() => this.leaveOff(key), SHOWN_MS);
      return;
    }
    this.change(key, { is: 'not-through', why: whyOf(sent) });
    setTimeout(() => {
      const call = this.calls.find((one) => one.key === key);
      if (call !== undefined) void this.send(call);
    }, AGAIN_MS);
  }

  private change(key: string, to: Pick<StopCall, 'is' | 'why'>): void {
    this.put(this.calls.map((call) => (call.key === key ? { ...call, ...to } : call)));
  }

  private put(calls: readonly StopCall[]): void {
    this.calls = calls;
    this.changed(calls);
  }
}

function whyOf(sent: Sent): string {
  return sent.is === 'refused' ? sent.why : '';
}
