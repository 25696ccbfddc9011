import type { Disk } from '../journal/disk.js';

const ALIVE = 'alive';

/** When this program was last there, in a file of its own, so that the next start knows how long nobody was here. */
export class Alive {
  private notedAt = 0;

  constructor(private readonly disk: Disk) {}

  /** Notes it, once a minute. */
  async note(now: number): Promise<void> {
    if (now - this.notedAt < 60_000) return;
    this.notedAt = now;
    await this.disk
      .write(`${ALIVE}.new`, Buffer.from(String(now)))
      .then(() => this.disk.rename(`${ALIVE}.new`, ALIVE))
      .catch(() => undefined);
  }

  /** How long nobody was here, in ms; 0 when nobody ever was. */
  async gap(now: number): Promise<number> {
    const bytes = await this.disk.read(ALIVE);
    const at = Number(bytes?.toString() ?? '');
    return Number.isFinite(at) && at > 0 ? now - at : 0;
  }
}
