import type { Input } from '../../job/input.js';
import type { DeskView } from './desk-view.js';

type Waiting = {
  readonly input: Input;
  /** The platform's own order, finer than milliseconds. */
  readonly order: string;
  readonly kept: () => void;
  readonly failed: (error: unknown) => void;
};

/** Hands inputs to the desk. What arrives in one turn goes in the order in which it was said. */
export class Order {
  private waiting: Waiting[] = [];

  constructor(private readonly desk: Pick<DeskView, 'receive'>) {}

  /**
   * Settles as soon as the input is on disk.
   *
   * @throws {NotTaken}
   */
  add(input: Input, order: string): Promise<void> {
    return new Promise((kept, failed) => {
      this.waiting.push({ input, order, kept, failed });
      if (this.waiting.length === 1) process.nextTick(() => this.hand());
    });
  }

  private hand(): void {
    const all = this.waiting.sort((a, b) => (a.order < b.order ? -1 : a.order > b.order ? 1 : 0));
    this.waiting = [];
    for (const { input, kept, failed } of all) this.desk.receive(input, kept).then(kept, failed);
  }
}
