import type { Ask, Flow, Limits, Option, Step } from '../../src/flow/flow.js';
import { coolantBalance } from '../../src/job/circuit.js';
import { faultOf } from '../../src/job/fit.js';
import type { Body } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';
import { isNamed } from '../../src/job/named.js';
import { boltsOf } from '../../src/job/tighten.js';
import { amountOf, valueOfRef } from '../../src/job/value.js';
import { logOf, promptNow } from '../../src/job/watch.js';
import type { World } from '../../src/job/world.js';
import { type Quantity, valueIn } from '../../src/units/quantity.js';

/** What a good crew says next: who, and what. Null when only time can help. */
export type Said = { readonly by: string; readonly body: Body };

export type Crew = {
  readonly foreman: string;
  /** Releases while the foreman turns the bolts. */
  readonly deputy?: string;
  readonly standby: string;
  readonly batch: string;
  /** Readings that pass their judgement, by name, with unit. */
  readonly readings: Readonly<Record<string, string>>;
  /** Values for a vehicle that lacks them. */
  readonly value: string;
  /** The same by key, where `value` is of the wrong kind. */
  readonly values?: Readonly<Record<string, string>>;
};

const text = (words: string): Body => ({ is: 'text', text: words });

/** The answer of a good crew to whatever the job now asks. */
export function rightAnswer(job: Job, flow: Flow, world: World, crew: Crew): Said | null {
  const holder = (words: string): Said => ({ by: job.holder, body: text(words) });
  const foreman = (words: string): Said => ({
    by: job.holder === crew.foreman ? (crew.deputy ?? crew.foreman) : crew.foreman,
    body: text(words),
  });
  switch (job.mode) {
    case 'paused':
    case 'parked':
      return holder('resume');
    case 'held':
      return foreman(
        isLostBalance(job) ? 'balance not known: nobody can tell any more' : 'release looked at, go on',
      );
    case 'stopped':
      return foreman('release looked at, go on');
    case 'handing-over':
      return { by: job.offered?.to ?? job.holder, body: text('take') };
    case 'done':
    case 'called-off':
      return null;
    default:
  }
  if (job.missing !== null)
    return foreman(`value ${job.missing} ${crew.values?.[job.missing] ?? crew.value} manual 1.1`);
  const { asked } = job;
  if (asked === null) {
    if (job.oldLock !== null) return { by: job.oldLock, body: text('lock off') };
    return null;
  }
  if (asked.ended) return holder('where');
  if (asked.what === 'look') return holder('yes');
  if (asked.what === 'which') return holder('1');
  const step = flow.steps.find((one) => one.id === asked.step);
  const ask = step?.asks[asked.answers.length];
  if (step === undefined || ask === undefined) return null;
  // What is watched has been read; it is asked again in its time.
  if (ask.ask === 'watch' && promptNow(job, logOf(job, ask.name))?.open === false) return null;
  return answerTo(job, world, crew, step, ask, asked.word);
}

function answerTo(job: Job, world: World, crew: Crew, step: Step, ask: Ask, word: string | null): Said {
  const holder = (words: string): Said => ({ by: job.holder, body: text(words) });
  switch (ask.ask) {
    case 'confirm':
      return step.photo ? { by: job.holder, body: photo('bay.jpg') } : holder('done');
    case 'reading': {
      const by = ask.by === 'second' ? (job.standby ?? crew.standby) : job.holder;
      if (ask.limits?.is === 'nil') return { by, body: text(`0 ${ask.unit}`) };
      const exact = ask.limits?.is === 'between' ? exactly(job, ask.limits) : null;
      if (exact !== null) return { by, body: text(`${exact.value} ${exact.unit}`) };
      const start = valueOfRef(job, TIGHT_START);
      if (ask.name === 'p-start' && start !== null) return { by, body: text(`${start.value} ${start.unit}`) };
      if (ask.name === 'p-end' && start !== null) {
        return { by, body: text(`${(start.value - 0.1).toFixed(1)} ${start.unit}`) };
      }
      const known = crew.readings[ask.name] ?? jug(job, ask.name) ?? USUAL[ask.name] ?? fitting(job, ask);
      if (known === null) throw new Error(`the crew has no reading for ${ask.name} (${ask.unit})`);
      return { by, body: text(known) };
    }
    case 'watch': {
      const first = logOf(job, ask.name).sightings.length === 0;
      if (ask.until === 'spill-still') return holder(first ? '120 ml' : 'dry');
      const { from, to } = ask.plausible ?? { from: 10, to: 10 };
      const stands = crew.readings[ask.name] ?? `${Math.round((from + to) / 2)} ${ask.unit}`;
      return holder(ask.until === 'level-still' ? `${stands}, no bubbles` : stands);
    }
    case 'dead-test': {
      const source = valueOfRef(job, ask.source);
      const volts = source === null ? 0 : source.value;
      return holder(`${volts} 0 0 0 ${volts} V`);
    }
    case 'values': {
      const torque = step.tighten === null ? null : valueOfRef(job, step.tighten.torque);
      const each = torque === null ? '1' : String(torque.value);
      return holder(
        `${Array(boltsOf(job, step) ?? 1)
          .fill(each)
          .join(' ')} ${torque?.unit ?? ask.unit}`,
      );
    }
    case 'choice':
      return holder(goodOptions(job, ask)[0]?.say ?? '');
    case 'field':
      if (ask.type === 'photo') return { by: job.holder, body: photo(`${ask.name}.jpg`) };
      if (ask.type === 'count') return holder('14');
      if (ask.type === 'date') return holder('2026-01');
      if (ask.type === 'batch') return holder(crew.batch);
      if (ask.as !== undefined && job.choices[ask.as] !== undefined) return holder(job.choices[ask.as] ?? '');
      return holder(job.fields[ask.name.replace(/-again$/, '')] ?? `X4471-${ask.name.length}`);
    case 'gear': {
      const fit = [...world.gear.values()].filter(
        (piece) => ask.kinds.includes(piece.kind) && faultOf(job, world, null, piece) === null,
      );
      const picked = ask.kinds.flatMap((kind) => {
        const of = fit.filter((piece) => piece.kind === kind);
        return kind === 'wrench' ? of : of.slice(0, 1);
      });
      return holder(picked.map((piece) => piece.id).join(' '));
    }
    case 'standby':
      return holder(crew.standby);
    case 'second-look':
      return { by: job.standby ?? crew.standby, body: text('seen') };
    case 'word':
      return holder(word ?? '');
  }
}

/** What a jug brings in: as much as came out and is not in yet. */
function jug(job: Job, name: string): string | undefined {
  if (name !== 'coolant-in' && name !== 'coolant-added') return undefined;
  const nil = { quantity: { value: 0, unit: 'ml' }, assumedUnit: false, bound: null, at: job.now } as const;
  const readings = { ...job.readings, 'coolant-in': job.readings['coolant-in'] ?? [nil], [name]: [nil] };
  const { figures } = coolantBalance({ ...job, readings });
  const figure = figures.find((one) => one.name === 'coolant-difference');
  return figure === undefined ? undefined : `${Math.max(0, -figure.quantity.value)} ml`;
}

/** What lets the job go on with this vehicle. */
export function goodOptions(job: Job, { options }: Ask & { ask: 'choice' }): readonly Option[] {
  return options.filter((option) => option.hold === null && isNamed(job, option));
}

/** Held at a coolant balance that no answer of the crew can settle: released, it would be held there again for ever. */
function isLostBalance({ modeReason }: Job): boolean {
  return ['tray-not-read', 'may-be-in-the-pack'].some((because) => modeReason.endsWith(`: ${because}`));
}

const TIGHT_START = { from: 'vehicle', name: 'tight-start' } as const;

/** What no limit of the flow tells, because a calculation judges it. */
const USUAL: Readonly<Record<string, string>> = {
  bonding: '0.02 Ω',
  'coolant-in': '120 ml',
  'tray-late': '0 ml',
  'coolant-added': '0 ml',
  'frost-point': '-36 °C',
};

/** A reading inside the limits of its question, in its unit: in the middle, or on the one limit there is. */
function fitting(job: Job, { limits, unit }: Ask & { ask: 'reading' }): string | null {
  if (limits === null || limits.is === 'nil') return null;
  if (limits.is === 'same') {
    const counted = job.fields[limits.as] ?? job.readings[limits.as]?.at(-1)?.quantity.value ?? null;
    return counted === null ? null : `${counted} ${unit}`;
  }
  const ends = [limits.min, limits.max].flatMap((amount) => {
    const quantity = amount === null ? null : amountOf(job, amount);
    return quantity === null ? [] : [valueIn(quantity, unit)];
  });
  const [from, to = from] = ends;
  return from === undefined || to === undefined ? null : `${Number(((from + to) / 2).toFixed(3))} ${unit}`;
}

/** The only value that limits leave, such as a count of bolts. */
function exactly(job: Job, { min, max }: Limits & { is: 'between' }): Quantity | null {
  const [from, to] = [min, max].map((amount) => (amount === null ? null : amountOf(job, amount)));
  return from != null && to != null && from.value === to.value ? from : null;
}

function photo(name: string): Body {
  return { is: 'photo', sha256: name.padEnd(64, '0').replace(/[^0-9a-f]/g, '0'), name, text: '' };
}
