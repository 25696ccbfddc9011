import { type Drawn, withoutButtons } from './blocks.js';
import { oneRun } from './one-run.js';
import { type Web, WebFault } from './web.js';

type Due = { readonly channel: string; readonly ts: string; readonly drawn: Drawn };

/** So many wait at most: an old button costs a refusal in words, no more. */
const MOST = 200;

/**
 * Takes buttons away that have been used or are stale. Best effort: what a tap does is decided by the job and never
 * by whether a button was still drawn.
 */
export class Redraw {
  private readonly due = new Map<string, Due>();
  private notBefore = 0;
  private without = false;

  constructor(
    private readonly web: Web,
    private readonly now: () => number,
  ) {}

  add(channel: string, ts: string, drawn: Drawn): void {
    this.put({ channel, ts, drawn: withoutButtons(drawn) });
  }

  /** Draws a post anew as it is given. */
  put(due: Due): void {
    if (this.without) return;
    if (this.due.size >= MOST) this.due.delete([...this.due.keys()][0] ?? '');
    this.due.set(`${due.channel}:${due.ts}`, due);
    void this.run();
  }

  /** Does what is due; nobody waits for it but a stop. */
  readonly run = oneRun(() => this.all());

  private async all(): Promise<void> {
    for (const [key, { channel, ts, drawn }] of this.due) {
      if (this.now() < this.notBefore || this.without) return;
      this.due.delete(key);
      try {
        await this.web.call('chat.update', { channel, ts, text: drawn.text, blocks: drawn.blocks });
      } catch (error) {
        if (!(error instanceof WebFault)) throw error;
        if (error.says === 'unknown_method') this.without = true;
        if (error.code !== 'limited') continue;
        this.notBefore = this.now() + error.retryMs;
        this.due.set(key, { channel, ts, drawn });
      }
    }
  }
}
