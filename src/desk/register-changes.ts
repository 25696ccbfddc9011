import type { Notice } from '../job/input.js';
import type { Job } from '../job/job.js';
import { KEYS_MS } from '../journal/recent.js';
import type { Part } from '../journal/shop-journal.js';
import { type RegisterChange, same, valueAt } from '../shop/change.js';
import type { DocumentName } from '../shop/documents.js';
import { printRegisterFault } from '../shop/fault.js';
import type { Register } from '../shop/register.js';
import { OFFICE } from '../talk/office-words.js';
import type { OfficeAnswer } from './office-answer.js';
import type { Parts } from './parts.js';
import type { ShopEvent } from './shop-answer.js';

/** Changes that were agreed, with the line of the shop journal that agreed them. */
type Agreed = { readonly mark: string; readonly at: number; readonly changes: readonly RegisterChange[] };

/** What bringing changes into the documents needs of the desk. */
type Does = {
  /** A line of the shop journal that nobody's words made, and its post. */
  announce(key: string, answer: OfficeAnswer): Promise<void>;
  /** Word to the bays with such a job. */
  notify(key: string, notice: Notice, to: (job: Job) => boolean): void;
};

/** Brings agreed changes from the shop journal into the register's documents, once each, and sees hand edits. */
export class RegisterChanges {
  /** Agreed, and not yet in their document, in order. */
  private waiting: readonly Agreed[] = [];
  /** Agreed before the start: a kill may have come before they were noted as no hand edits. */
  private before: readonly RegisterChange[] = [];

  constructor(
    private readonly parts: Pick<Parts, 'shop' | 'clock'>,
    private readonly does: Does,
  ) {}

  /** Whether something agreed is still on its way: nothing may be agreed on top of it. */
  get waits(): boolean {
    return this.waiting.length > 0;
  }

  waitsFor(changes: readonly RegisterChange[]): boolean {
    return this.waiting.some((one) => one.changes === changes);
  }

  /** Makes agreed changes, now or as soon as it can be. They are on disk in the journal already: nothing is lost. */
  async make(mark: string, changes: readonly RegisterChange[]): Promise<void> {
    const agreed = { mark, at: this.parts.clock.now(), changes };
    if ((await this.made(agreed)) === 'later') this.waiting = [...this.waiting, agreed];
  }

  /** Tries once more what waits, and looks for hand edits. */
  async again(): Promise<void> {
    await this.bring();
    await this.look();
  }

  /** After a start: what the journal has agreed and a document has not taken is made, once. */
  async recover(recent: readonly Part<ShopEvent>[]): Promise<void> {
    const { agreed, clashed } = agreedIn(recent);
    this.before = agreed.flatMap(({ changes }) => changes);
    for (const one of unmade(agreed, this.parts.shop.register()))
      if (!clashed.has(one.mark)) this.waiting = [...this.waiting, one];
    // Told as made now: before the crash it may have been told that it waits.
    await this.bring();
    const since = this.parts.clock.now() - KEYS_MS;
    for (const one of agreed) if (one.at > since) this.tell(one, one.at);
  }

  private async bring(): Promise<void> {
    for (const agreed of this.waiting) {
      const { mark, changes } = agreed;
      const made = await this.made(agreed);
      if (made === 'later') return;
      if (made === 'done') await this.does.announce(`register:written:${mark}`, { is: 'written', changes });
      this.waiting = this.waiting.filter((one) => one !== agreed);
    }
  }

  private async made(agreed: Agreed): Promise<'done' | 'clash' | 'later'> {
    const { mark, changes } = agreed;
    try {
      const made = await this.parts.shop.apply(changes, mark);
      if (made.is === 'faults') return 'later';
      if (made.is === 'clash') {
        const { stands } = made;
        await this.does.announce(`register:clash:${mark}`, { is: 'clash', mark, changes, stands });
      } else this.tell(agreed, this.parts.clock.now());
      return made.is;
    } catch {
      return 'later';
    }
  }

  /** What concerns jobs under way: gear that is out of use, a value that is another one. */
  private tell({ mark, changes }: Agreed, at: number): void {
    for (const [number, change] of changes.entries()) {
      const found = noticeOf(change, this.parts.shop.register());
      if (found === null) continue;
      const to = (job: Job) => job.startedAt <= at && found.to(job);
      this.does.notify(`register:${mark}:${number}`, found.notice, to);
    }
  }

  private async look(): Promise<void> {
    // A folder that cannot be read now is read with the next look.
    const edited = await this.parts.shop.look().catch(() => null);
    const { before } = this;
    this.before = [];
    if (edited === null) return;
    const { faults, told } = edited;
    const changes = edited.changes.filter((one) => !before.some((own) => isPartOf(one, own)));
    if (changes.length === 0 && faults.length === 0) return told();
    const key = `register:edit:${this.parts.clock.now()}:${faults.map(printRegisterFault).join()}`;
    await this.does.announce(
      key,
      faults.length > 0 ? { is: 'edit-refused', faults } : { is: 'edited', changes },
    );
    told();
  }
}

/** Whether a change is one that was agreed, or a field of it. */
function isPartOf({ file, at, after }: RegisterChange, agreed: RegisterChange): boolean {
  const within = agreed.at.every((step, place) => JSON.stringify(step) === JSON.stringify(at[place]));
  return file === agreed.file && within && same(valueAt(agreed.after, at.slice(agreed.at.length)), after);
}

function agreedIn(recent: readonly Part<ShopEvent>[]) {
  const agreed: Agreed[] = [];
  const clashed = new Set<string>();
  for (const { part, journal } of recent.toReversed()) {
    for (const { seq, at, events } of journal.lines) {
      for (const event of events) {
        if (event.type !== 'office' || event.answer === null) continue;
        const { answer } = event;
        if (answer.is === 'changed')
          agreed.push({ mark: markOf({ part, seq }), at, changes: answer.changes });
        if (answer.is === 'clash') clashed.add(answer.mark);
      }
    }
  }
  return { agreed, clashed };
}

/** The name of a line of the shop journal, as the documents keep it. */
export function markOf({ part, seq }: { readonly part: string; readonly seq: number }): string {
  return `${part}:${seq}`;
}

/** What was agreed after the line that a document names; of a document that names none, the last alone. */
function unmade(agreed: readonly Agreed[], register: Register): readonly Agreed[] {
  const files = new Set(agreed.flatMap(({ changes }) => changes[0]?.file ?? []));
  const found = [...files].flatMap((file) => {
    const of = agreed.filter(({ changes }) => changes[0]?.file === file);
    const applied = appliedIn(file, register);
    const last = of.findLastIndex(({ mark }) => mark === applied);
    return applied === null ? of.slice(-1) : of.slice(last + 1);
  });
  return agreed.filter((one) => found.includes(one));
}

function appliedIn(file: DocumentName, { written }: Register): string | null {
  return written[file].applied ?? null;
}

function noticeOf(
  { file, at, after }: RegisterChange,
  { models }: Register,
): { readonly notice: Notice; readonly to: (job: Job) => boolean } | null {
  const [, entry, field, name] = at;
  if (typeof entry !== 'object') return null;
  if (file === 'gear.json' && (after === null ? field === undefined : field === 'out')) {
    const gear = entry.is;
    return {
      notice: { of: 'gear-out', gear, bay: OFFICE },
      to: (job) => Object.values(job.gear).some((one) => one.id === gear),
    };
  }
  if (file !== 'vehicles.json' || field !== 'values' || typeof name !== 'string') return null;
  const value = models.get(entry.is)?.values[name] ?? null;
  return {
    notice: { of: 'value-changed', key: `vehicle.${name}`, value, bay: OFFICE },
    to: (job) => job.car.model === entry.is,
  };
}
