import type { Lane } from './lane.js';

/** Who has work in another bay: people by the bay in which they hold a job, or stand by in one. */
export type Elsewhere = {
  readonly elsewhere: ReadonlyMap<string, string>;
  readonly standbyElsewhere: ReadonlyMap<string, string>;
};

type Found = Elsewhere & { readonly crews: readonly (string | null)[] };

/** Keeps what it found for a bay until a holder or a standby of some bay is another one. */
export class Crews {
  private readonly found = new Map<Lane, Found>();
  private crews: readonly (string | null)[] = [];

  constructor(private readonly lanes: ReadonlyMap<string, Lane>) {}

  /** As seen from this bay. */
  elsewhereFrom(lane: Lane): Elsewhere {
    const crews = this.current();
    const before = this.found.get(lane);
    if (before?.crews === crews) return before;
    const elsewhere = new Map<string, string>();
    const standbyElsewhere = new Map<string, string>();
    for (const other of this.lanes.values()) {
      if (other === lane || other.job === null) continue;
      elsewhere.set(other.job.holder, other.bay);
      if (other.job.standby !== null) standbyElsewhere.set(other.job.standby, other.bay);
    }
    const found = { elsewhere, standbyElsewhere, crews };
    this.found.set(lane, found);
    return found;
  }

  /** Holder and standby of every bay; the same list for as long as they are the same. */
  private current(): readonly (string | null)[] {
    let at = 0;
    let same = this.crews.length === 2 * this.lanes.size;
    for (const { job } of this.lanes.values()) {
      same &&= this.crews[at] === (job?.holder ?? null) && this.crews[at + 1] === (job?.standby ?? null);
      at += 2;
    }
    if (!same)
      this.crews = [...this.lanes.values()].flatMap(({ job }) => [job?.holder ?? null, job?.standby ?? null]);
    return this.crews;
  }
}
