/**
 * The workshop's clock as this page knows it: the server's now when it was last heard, moved on by this machine's own
 * running time. A phone that is set wrong shows the workshop's time all the same.
 */
export class ShopClock {
  private heard = { theirs: 0, ours: 0 };
  private known = false;

  /** Takes what the server says the time is. */
  heardNow(theirs: number): void {
    this.heard = { theirs, ours: Date.now() };
    this.known = true;
  }

  /** Something was said at this instant by the same clock: it is at least that late. */
  heardAt(theirs: number): void {
    if (this.known && theirs > this.now()) this.heardNow(theirs);
  }

  now(): number {
    if (!this.known) return Date.now();
    return this.heard.theirs + (Date.now() - this.heard.ours);
  }
}
