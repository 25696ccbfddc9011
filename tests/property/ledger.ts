import type { Answer, Sighted } from '../../src/job/event.js';
import { type Quantity, valueIn } from '../../src/units/quantity.js';

type Noted = { readonly step: string; readonly name: string; readonly ml: number };

const OUT = ['coolant-out', 'tray-night', 'tray-late'];

/** Coolant as somebody with a pencil would note it: every jug that came out and every jug that went in. */
export class Ledger {
  private readonly jugs: Noted[] = [];
  private readonly seen: Sighted[] = [];
  /** What was said to have been added last, its step closed or not, ml. */
  private added: number | null = null;
  /** What had gone in when the foreman left the balance as not known, ml. */
  private leftMl: number | null = null;

  /** A sighting at the tray under the couplings. */
  sighted(of: string, sighted: Sighted): void {
    if (of === 'coolant-out') this.seen.push(sighted);
  }

  unsighted(of: string): void {
    if (of === 'coolant-out') this.seen.pop();
  }

  /** Told at a step that may yet be held. */
  told(answer: Answer): void {
    if (answer.ask !== 'reading' || !this.isCoolant(answer.name)) return;
    if (answer.name === 'coolant-added') this.added = valueIn(answer.reading.quantity, 'ml');
    if (answer.name === 'coolant-in') this.added = null;
  }

  /** The foreman leaves the balance as not known. */
  left(): void {
    this.leftMl = this.wentIn();
  }

  /** Whether the balance was left so, and no more than this has gone in since, ml. */
  mayStayUnknown(mostMl: number): boolean {
    return this.leftMl !== null && this.wentIn() <= this.leftMl + mostMl;
  }

  /** All fills, and what was added since the last of them as it was told last. */
  private wentIn(): number {
    let [before, since] = [0, 0];
    for (const { name, ml } of this.jugs) {
      if (name === 'coolant-in') [before, since] = [before + since + ml, 0];
      if (name === 'coolant-added') since = ml;
    }
    return before + (this.added ?? since);
  }

  /** A step that was completed with these answers. */
  closed(step: string, answers: readonly Answer[]): void {
    for (const answer of answers) {
      if (answer.ask !== 'reading' || !this.isCoolant(answer.name)) continue;
      this.jugs.push({ step, name: answer.name, ml: valueIn(answer.reading.quantity, 'ml') });
    }
  }

  /** What was told last at a step was wrong. */
  corrected(step: string): void {
    const last = this.jugs.findLast((jug) => jug.step === step);
    if (last === undefined) return;
    for (const name of new Set(this.jugs.filter((jug) => jug.step === step).map((jug) => jug.name))) {
      const at = this.jugs.findLastIndex((jug) => jug.step === step && jug.name === name);
      this.jugs.splice(at, 1);
    }
  }

  private isCoolant = (name: string) => [...OUT, 'coolant-in', 'coolant-added'].includes(name);

  private watched(): number {
    let [poured, stands] = [0, 0];
    for (const sighted of this.seen) {
      const reading = 'reading' in sighted ? sighted.reading : null;
      const ml = reading === null ? null : valueIn(reading.quantity, 'ml');
      if (sighted.is === 'added') stands += ml ?? 0;
      if (sighted.is === 'stands') stands = ml ?? 0;
      if (sighted.is !== 'emptied') continue;
      // Thrown away unread: nobody knows any more.
      poured += ml ?? Number.NaN;
      stands = 0;
    }
    return poured + stands;
  }

  /** In less out, ml; not a number where a tray was emptied unread or no fill was noted. */
  difference(): number {
    let [balance, added, filled] = [-this.watched(), 0, false];
    for (const { name, ml } of this.jugs) {
      if (OUT.includes(name)) balance -= ml;
      else if (name === 'coolant-in') {
        // What was added is told anew after each fill.
        balance += added + ml;
        [added, filled] = [0, true];
      } else added = ml;
    }
    return filled ? balance + added : Number.NaN;
  }
}

/** Why the balance of the coolant may not be passed; null where it may. */
export function notEven(ledger: Ledger, tolerance: Quantity | null): string | null {
  const most = tolerance === null ? Number.NaN : valueIn(tolerance, 'ml');
  const difference = ledger.difference();
  if (Math.abs(difference) <= most || ledger.mayStayUnknown(most)) return null;
  return `coolant called even at ${difference} ml`;
}
