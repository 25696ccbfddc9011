import { ln } from './line.js';
import { officePost } from './office-talk.js';
import type { Line, Post } from './post.js';

/** A change of the register as it is told: whose, what of it, what it was and what it is to be. */
export type ToldChange = {
  /** `G2`, `mara`, `teasel`; empty for the workshop itself. */
  readonly of: string;
  /** `tested`, `odometerKm`; empty for the whole entry. */
  readonly field: string;
  readonly before: unknown;
  readonly after: unknown;
};

export type ToldConsequence =
  | { readonly is: 'good-until'; readonly day: string }
  | { readonly is: 'past'; readonly day: string }
  | { readonly is: 'lower' };

/** A change that is only made after a yes. */
export function sayProposed(
  changes: readonly ToldChange[],
  consequence: ToldConsequence | null,
  why: 'first' | 'late' | 'unseen' | 'moved',
): Post {
  return officePost('question', [
    ...(why === 'first' ? [] : [ln`${WHY[why]}`]),
    ...changes.map((one) => ln`${changeText(one)}`),
    ...(consequence === null ? [] : [ln`${consequenceText(consequence)}`]),
    ln`Nothing is changed yet. YES within 10 minutes, or NO.`,
  ]);
}

const WHY = {
  late: 'That yes came more than 10 minutes after. Is it still so?',
  unseen: 'That yes came before this stood here. Is it so?',
  moved: 'The register has changed since. Is it so?',
} as const;

function consequenceText(consequence: ToldConsequence): string {
  switch (consequence.is) {
    case 'good-until':
      return `Good until ${consequence.day}.`;
    case 'past':
      return `CAUTION: ${consequence.day} is past. No step takes it.`;
    case 'lower':
      return 'CAUTION: lower than it was.';
  }
}

/** The change is made; `waits`: it is kept, and its document has not taken it yet. */
export function sayChanged(changes: readonly ToldChange[], waits: boolean): Post {
  return officePost('told', [
    waits ? ln`Kept, but not in the register yet: the disk did not take it. It is tried again.` : ln`Done.`,
    ...changes.map((one) => ln`${changeText(one)}`),
  ]);
}

/** An agreed change that had to wait has been made. */
export function sayWritten(changes: readonly ToldChange[]): Post {
  return officePost('told', [ln`In the register now:`, ...changes.map((one) => ln`${changeText(one)}`)]);
}

export function sayDropped(): Post {
  return officePost('told', [ln`Dropped. Nothing was changed.`]);
}

export function sayNothingWaits(): Post {
  return officePost('told', [ln`Nothing of yours waits for a yes. Nothing was changed.`]);
}

export function sayStillWaits(): Post {
  return officePost('told', [
    ln`A change made before is not in the register yet: the disk does not take it.`,
    ln`Nothing was changed. Make room, then say it again.`,
  ]);
}

/** Somebody edited by hand what a yes was said to: theirs stands. */
export function sayClash(changes: readonly ToldChange[], stands: unknown): Post {
  return officePost('alert', [
    ln`Not changed: edited by hand since the yes. It says: ${valueText(stands)}.`,
    ...changes.map((one) => ln`Wanted was: ${changeText(one)}`),
    ln`Do: look, and say it again if it is still to be.`,
  ]);
}

/** The register's check is against a change. */
export function sayFaults(faults: readonly string[]): Post {
  return officePost('told', [ln`Nothing was changed:`, ...firstOf(faults)]);
}

/** A hand edit was taken over: one line. */
export function sayEdited(changes: readonly ToldChange[]): Post {
  const [first] = changes;
  const what = first === undefined ? '' : changeText(first).replace(/\.$/, '');
  const more = changes.length > 1 ? `; ${changes.length - 1} more` : '';
  return officePost('told', [ln`Edited by hand and taken over: ${what}${more}.`]);
}

/** A hand edit with faults. */
export function sayEditRefused(faults: readonly string[]): Post {
  return officePost('alert', [
    ln`Edited by hand and NOT taken over. The register before stays in force.`,
    ...firstOf(faults),
  ]);
}

const MOST_FAULTS = 5;

function firstOf(faults: readonly string[]): readonly Line[] {
  const shown = faults.slice(0, MOST_FAULTS).map((one) => ln`${one}`);
  return faults.length > MOST_FAULTS ? [...shown, ln`${faults.length - MOST_FAULTS} more.`] : shown;
}

/** Why words change nothing in the register, in codes. */
export type Slip =
  /** There is no such thing; what there is. */
  | { readonly no: 'such'; readonly what: string; readonly said: string; readonly have: readonly string[] }
  | { readonly no: 'new'; readonly what: string; readonly said: string }
  | { readonly no: 'day'; readonly said: string }
  | { readonly no: 'moment'; readonly said: string }
  /** Tested, calibrated or read on a day that has not come. */
  | { readonly no: 'not-yet'; readonly day: string }
  | { readonly no: 'amount'; readonly said: string; readonly wanted: string }
  | { readonly no: 'source' }
  /** How it is typed. */
  | { readonly no: 'shape'; readonly shapes: readonly string[] }
  /** It says so already. */
  | { readonly no: 'same' };

/** Words that change nothing, and what to type instead. */
export function saySlip(slip: Slip): Post {
  const [what, ...remedies] = slipLines(slip);
  return officePost('told', [ln`${what ?? ''} Nothing was changed.`, ...remedies.map((one) => ln`${one}`)]);
}

function slipLines(slip: Slip): readonly string[] {
  switch (slip.no) {
    case 'such':
      return [`No ${slip.what} "${slip.said}".`, `There is: ${slip.have.join(', ')}.`];
    case 'new':
      return [`There is a ${slip.what} ${slip.said} already.`];
    case 'day':
      return [`"${slip.said}" is no day.`, 'Like: 2026-11-20, today, yesterday, friday; a month: 2027-02.'];
    case 'moment':
      return [`"${slip.said}" is no day and time.`, 'Like: friday 18:00, 18:00, 2026-11-27 18:00.'];
    case 'not-yet':
      return [`${slip.day} has not come yet.`, 'Say it when it is done.'];
    case 'amount':
      return [`"${slip.said}" does not fit.`, `Wanted: ${slip.wanted}, with a point and the unit.`];
    case 'source':
      return ['The source is missing: manual and page, or plate.', 'It goes behind the amount.'];
    case 'shape':
      return ['Not understood.', ...slip.shapes.map((one) => `Like: ${one}`)];
    case 'same':
      return ['It says so already.'];
  }
}

/** `G2 tested: was 2026-01-19, will be 2026-11-20.` without tense, so that it holds before and after. */
function changeText({ of, field, before, after }: ToldChange): string {
  const what = [of, FIELDS[field] ?? field].filter((one) => one !== '').join(' ');
  if (before === null) return `${what}: new, ${valueText(after)}.`;
  if (after === null) return `${what}: away, was ${valueText(before)}.`;
  return `${what}: ${valueText(after)}, before ${valueText(before)}.`;
}

const FIELDS: Readonly<Record<string, string>> = {
  odometerKm: 'odometer, km',
  kmPerYear: 'km per year',
  useBy: 'use by',
  enteredBy: 'entered by',
  out: 'out of use',
  place: 'is kept',
  'cycles done': 'cycles',
  'cycles most': 'cycles at most',
};

/** Names whose values speak for themselves. */
const SILENT: ReadonlySet<string> = new Set(['level', 'person', 'value', 'text', 'label', 'number', 'from']);
/** They stand before the colon already. */
const NAMED: ReadonlySet<string> = new Set(['id', 'registration', 'batch']);

function valueText(value: unknown): string {
  if (value === null || value === undefined) return 'nothing';
  if (Array.isArray(value)) return value.length === 0 ? 'none' : value.map(valueText).join('; ');
  if (typeof value !== 'object') return String(value);
  return Object.entries(value)
    .filter(([name, one]) => one !== null && one !== undefined && !NAMED.has(name))
    .map(([name, one]) => (SILENT.has(name) ? valueText(one) : `${FIELDS[name] ?? name} ${valueText(one)}`))
    .join(' ');
}
