import type { Flow } from '../flow/flow.js';
import type { Competence, FactChange, GearUsed } from '../job/event.js';
import type { Job } from '../job/job.js';
import { filled, labelOf, stepOf } from '../talk/phrase.js';
import type { RecordLine } from './line.js';
import type { Finding, ReadingRow } from './readings.js';

/** What a gate proved, and until when it stood; `until` is null where it still does. */
export type Proved = {
  readonly fact: string;
  readonly label: string;
  readonly until: number | null;
  readonly to: 'doubt' | 'gone' | null;
};

/** A gate that was passed, with all that it was passed on. */
export type Gate = {
  readonly step: string;
  readonly declaration: string;
  readonly by: string;
  /** The word asked for, and the message as it was typed. */
  readonly word: string;
  readonly words: string;
  readonly via: string;
  readonly visit: number;
  readonly shownAt: number;
  readonly passedAt: number;
  readonly competence: Competence | null;
  readonly second: Competence | null;
  /** The second person's own look, where one was asked. */
  readonly seen: { readonly by: string; readonly at: number; readonly text: string } | null;
  readonly gear: readonly GearUsed[];
  readonly readings: readonly ReadingRow[];
  /** Counts, texts and photos given in the same visit. */
  readonly fields: readonly Finding[];
  readonly proved: readonly Proved[];
  readonly reopenedAt: number | null;
};

/** Every passing of a gate, in order; one that was passed twice is there twice. */
export function gatesOf(
  job: Job,
  flow: Flow,
  lines: readonly RecordLine[],
  readings: readonly ReadingRow[],
  findings: readonly Finding[],
): readonly Gate[] {
  const gates: Gate[] = [];
  const seen = new Map<string, NonNullable<Gate['seen']>>();
  const taken = new Map<string, readonly GearUsed[]>();
  for (const line of lines) {
    for (const event of line.events) {
      if (event.type === 'answered' && event.answer.ask === 'second-look') {
        const ask = stepOf(flow, event.step)?.asks[event.ask];
        const text = ask?.ask === 'second-look' ? filled(job, ask.text) : '';
        seen.set(visitKey(event.step, event.visit), { by: event.name, at: event.at, text });
      }
      if (event.type === 'answered' && event.answer.ask === 'gear') {
        taken.set(visitKey(event.step, event.visit), event.answer.gear);
      }
      if ('changes' in event) fell(gates, event.changes, event.at);
      if (event.type === 'steps-reopened') {
        for (const [at, gate] of gates.entries()) {
          if (event.steps.includes(gate.step) && gate.reopenedAt === null) {
            gates[at] = { ...gate, reopenedAt: event.at };
          }
        }
      }
      if (event.type !== 'step-completed' || event.gate === null) continue;
      const { gate, step } = event;
      const makes = stepOf(flow, step)?.makes ?? [];
      gates.push({
        step,
        declaration: filled(job, stepOf(flow, step)?.text ?? step),
        by: event.name,
        word: gate.word,
        words: gate.words,
        via: line.via,
        visit: gate.visit,
        shownAt: gate.shownAt,
        passedAt: event.at,
        competence: gate.competence,
        second: gate.second,
        seen: seen.get(visitKey(step, event.visit)) ?? null,
        gear: bothOf(gate.gear, taken.get(visitKey(step, event.visit)) ?? []),
        fields: findings.filter((found) => found.step === step && found.visit === event.visit),
        readings: readings.filter((row) => row.step === step && row.visit === event.visit),
        proved: makes.map((fact) => ({ fact, label: labelOf(flow, fact), until: null, to: null })),
        reopenedAt: null,
      });
    }
  }
  return gates;
}

function visitKey(step: string, visit: number): string {
  return `${step} ${visit}`;
}

/** Gear of the evidence and gear named in the same visit, each piece once. */
function bothOf(evidence: readonly GearUsed[], named: readonly GearUsed[]): readonly GearUsed[] {
  return [...evidence, ...named.filter((gear) => !evidence.some((other) => other.id === gear.id))];
}

/** Notes on every gate passed so far when something that it proved stopped standing. */
function fell(gates: Gate[], changes: readonly FactChange[], at: number): void {
  for (const [index, gate] of gates.entries()) {
    const proved = gate.proved.map((fact): Proved => {
      const change = changes.find((one) => one.fact === fact.fact);
      const lost = change?.to === 'doubt' || change?.to === 'gone' ? change.to : null;
      return fact.until !== null || lost === null ? fact : { ...fact, until: at, to: lost };
    });
    gates[index] = { ...gate, proved };
  }
}
