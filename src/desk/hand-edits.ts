import { changesBetween, type Json, type RegisterChange } from '../shop/change.js';
import { DOCUMENT_NAMES, type Written } from '../shop/documents.js';
import { printRegisterFault, type RegisterFault } from '../shop/fault.js';
import type { Checked } from '../shop/register.js';
import type { Edited } from './shop-port.js';

/** What the program keeps in the documents for itself. */
const OWN = ['applied', 'counted'] as const;

/** What was edited by hand and not yet told: what the documents say now against what was told or written by us. */
export class HandEdits {
  private stamp = '';
  private faults: readonly RegisterFault[] = [];
  private toldFaults = '';

  constructor(private known: Written) {}

  /** Notes what a reading of the documents came to. */
  read(checked: Checked): void {
    this.faults = checked.ok ? [] : checked.faults;
  }

  /** A change of the program's own is no hand edit. */
  own(edit: (documents: Written) => Written): void {
    this.known = edit(this.known);
  }

  /** Reads the documents if they were written since, and says what is new in them. `now` is what is in force after. */
  async look(
    stamp: () => Promise<string>,
    refresh: () => Promise<unknown>,
    now: () => Written,
  ): Promise<Edited | null> {
    const found = await stamp();
    if (found !== this.stamp) {
      await refresh();
      this.stamp = found;
    }
    const written = now();
    const { faults } = this;
    const printed = faults.map(printRegisterFault).join('\n');
    const changes = faults.length > 0 ? [] : changesOf(this.known, written);
    if (changes.length === 0 && printed === this.toldFaults) return null;
    const told = () => {
      if (faults.length === 0) this.known = written;
      this.toldFaults = printed;
    };
    if (changes.length === 0 && faults.length === 0) {
      // A fault that was put right by putting the old text back.
      told();
      return null;
    }
    return { changes, faults, told };
  }
}

function changesOf(before: Written, after: Written): readonly RegisterChange[] {
  if (before === after) return [];
  const all = DOCUMENT_NAMES.flatMap((name) =>
    changesBetween(name, before[name] as Json, after[name] as Json),
  );
  const has = ({ at }: RegisterChange, name: string) => at.includes(name);
  // Cycles that came with a count of a job were counted by the program, though it was killed before it noted that.
  const counted = new Set(all.filter((one) => has(one, 'counted')).map(({ at }) => JSON.stringify(at[1])));
  return all.filter(
    (one) =>
      !OWN.some((name) => has(one, name)) &&
      !(has(one, 'cycles') && has(one, 'done') && counted.has(JSON.stringify(one.at[1]))),
  );
}
