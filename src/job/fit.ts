import type { Flow, GearKind, Step } from '../flow/flow.js';
import { addDays, addMonths } from '../trade/dates.js';
import { GLOVE_CLASSES, GLOVE_TEST_MONTHS, gloveClassFor, judgeGloves } from '../trade/gloves.js';
import { judgeInDate, usable } from '../trade/in-date.js';
import { valueIn } from '../units/quantity.js';
import type { Competence, GearUsed } from './event.js';
import type { Job } from './job.js';
import type { Refusal } from './refusal.js';
import { fitOf, tightenPlan, toleranceOf } from './tighten.js';
import { MAX_VOLTAGE, valueOfRef } from './value.js';
import type { Gear, World } from './world.js';

/**
 * Whether somebody has the level that a hazard asks for, today. A higher level covers a lower one. Gives the
 * competence as evidence, or the refusal.
 */
export function competence(
  world: World,
  flow: Flow,
  person: string,
  needed: string,
):
  | { readonly ok: true; readonly competence: Competence }
  | { readonly ok: false; readonly refusal: Refusal } {
  const who = world.people.get(person);
  const rank = flow.levels.indexOf(needed);
  const held = (who?.levels ?? []).filter((level) => flow.levels.indexOf(level.level) >= rank);
  const best = held.toSorted((a, b) => (a.until < b.until ? 1 : -1))[0];
  if (who !== undefined && best !== undefined && best.until >= world.today) {
    return { ok: true, competence: { person, name: who.name, level: best.level, until: best.until } };
  }
  const until = best?.until ?? null;
  const have = [...world.people.values()].filter(
    ({ id, levels }) =>
      id !== person &&
      !world.elsewhere.has(id) &&
      !world.standbyElsewhere.has(id) &&
      levels.some((one) => flow.levels.indexOf(one.level) >= rank && one.until >= world.today),
  );
  const refusal = { why: 'level', person: who?.name ?? person, level: needed, until } as const;
  return { ok: false, refusal: { ...refusal, have: have.map(({ name }) => name) } };
}

/** The piece of this kind that the job uses. */
export function gearInUse(job: Job, kind: GearKind): string | null {
  if (kind === 'lift') return job.values['lift.id']?.text ?? null;
  const used = Object.values(job.gear).filter((gear) => gear.kind === kind);
  return used.at(-1)?.id ?? null;
}

/**
 * The last day on which a piece may be used, `YYYY-MM-DD`: its due day (`trade/in-date.ts`), but for gloves the day
 * before it, since gloves are refused on their due day and never go longer than six months (`trade/gloves.ts`).
 */
export function lastGoodDay({ kind, tested, months }: Pick<Gear, 'kind' | 'tested' | 'months'>): string {
  if (kind !== 'gloves') return addMonths(tested, months);
  return addDays(addMonths(tested, Math.min(months, GLOVE_TEST_MONTHS)), -1);
}

/** A piece of gear as it is now, for the record. */
export function usedNow(gear: Gear): GearUsed {
  let used = asUsed.get(gear);
  if (used === undefined) {
    used = recorded(gear);
    asUsed.set(gear, used);
  }
  return used;
}

// A piece of gear does not change: what becomes of it is another piece in the register.
const asUsed = new WeakMap<Gear, GearUsed>();

function recorded(gear: Gear): GearUsed {
  const { id, kind, label, serial, tested, months, gloveClass } = gear;
  return { id, kind, label, serial, tested, months, gloveClass, until: lastGoodDay(gear) };
}

/**
 * Whether the gear of a step may be used now: in use in this job, not taken out, in date, of the right class, a
 * wrench with the torque in its range. Gives the evidence, or the first refusal with what would do instead.
 */
export function gearFor(job: Job, world: World, step: Step): GearFound {
  if (step.gear.length === 0) return NO_GEAR;
  let steps = judged.get(job.gear);
  if (steps === undefined) {
    steps = new Map();
    judged.set(job.gear, steps);
  }
  const known = steps.get(step);
  if (known?.values === job.values && known.register === world.gear && known.today === world.today)
    return known.found;
  const found = judgeGear(job, world, step);
  steps.set(step, { values: job.values, register: world.gear, today: world.today, found });
  return found;
}

type GearFound =
  | { readonly ok: true; readonly gear: readonly GearUsed[] }
  | { readonly ok: false; readonly refusal: Refusal };

const NO_GEAR: GearFound = { ok: true, gear: [] };

// A step asks for its gear when it is shown, at each answer and when it is completed, mostly on the same day and with
// the same values.
const judged = new WeakMap<
  Job['gear'],
  Map<
    Step,
    {
      readonly values: Job['values'];
      readonly register: World['gear'];
      readonly today: string;
      readonly found: GearFound;
    }
  >
>();

function judgeGear(job: Job, world: World, step: Step): GearFound {
  const evidence: GearUsed[] = [];
  for (const kind of step.gear) {
    const id = pick(job, world, step, kind);
    const gear = id === null ? undefined : world.gear.get(id);
    const because = gear === undefined ? 'none' : faultOf(job, world, step, gear);
    if (gear === undefined || because !== null) {
      const instead = [...world.gear.values()].filter(
        (other) => other.kind === kind && other.id !== id && faultOf(job, world, step, other) === null,
      );
      return {
        ok: false,
        refusal: {
          why: 'gear',
          kind,
          id,
          because: because ?? 'none',
          instead: instead.map((other) => other.id),
        },
      };
    }
    evidence.push(usedNow(gear));
  }
  return { ok: true, gear: evidence };
}

/** Of several wrenches in use, the one that fits; of anything else the one taken last. */
function pick(job: Job, world: World, step: Step, kind: GearKind): string | null {
  if (kind !== 'wrench') return gearInUse(job, kind);
  const wrenches = Object.values(job.gear).filter((gear) => gear.kind === 'wrench');
  const fits = wrenches.find((used) => {
    const gear = world.gear.get(used.id);
    return gear !== undefined && faultOf(job, world, step, gear) === null;
  });
  return (fits ?? wrenches.at(-1))?.id ?? null;
}

/** Why this piece may not be used for this step today, as a code; null when it may. */
export function faultOf(job: Job, world: World, step: Step | null, gear: Gear): string | null {
  if (gear.out !== null) return `out: ${gear.out}`;
  if (gear.kind === 'gloves') return gloveFault(job, world, gear);
  if (gear.kind === 'wrench') return wrenchFault(job, world, step, gear);
  const asked = job.values['vehicle.insulation-test-voltage']?.quantity ?? null;
  if (gear.kind === 'insulation-tester' && asked !== null && gear.nominal !== null) {
    const [gives, wanted] = [valueIn(gear.nominal, 'V'), valueIn(asked, 'V')];
    if (gives !== wanted) return `gives ${gives} V, ${wanted} V are asked`;
  }
  const date = judgeInDate({ testedOn: gear.tested, intervalMonths: gear.months, on: world.today });
  if (!date.ok) return date.because;
  if (!usable(date)) return `out of date since ${addDays(lastGoodDay(gear), 1)}`;
  return null;
}

function wrenchFault(job: Job, world: World, step: Step | null, gear: Gear): string | null {
  const plan = step === null ? null : tightenPlan(job, step, null);
  const torques = plan?.stages.map((stage) => stage.torque) ?? [];
  const need = torques[0] === undefined ? gear.range?.from : torques[0];
  if (need === undefined) return 'range not known';
  const fit = fitOf(
    // As long as no torque is asked, an adapter says nothing about the wrench.
    step === null ? { ...gear, lever: null } : gear,
    [need, ...torques.slice(1)],
    world.today,
    step === null ? null : toleranceOf(job, step),
  );
  if (fit.ok) return null;
  return fit.because === 'calibration-due'
    ? `calibration out of date since ${addDays(lastGoodDay(gear), 1)}`
    : fit.because;
}

function gloveFault(job: Job, world: World, gear: Gear): string | null {
  const volts = valueOfRef(job, MAX_VOLTAGE);
  const has = GLOVE_CLASSES.find((gloveClass) => gloveClass === gear.gloveClass);
  if (volts === null || has === undefined) return 'class not known';
  const needed = gloveClassFor({ workingVolts: valueIn(volts, 'V'), current: 'dc' });
  if (!needed.ok) return needed.because;
  // The air test is the technician's own, just now, and stands in the gate's declaration.
  const verdict = judgeGloves(
    { id: gear.id, gloveClass: has, testedOn: gear.tested, issuedOn: gear.tested },
    { gloveClass: needed.gloveClass, on: world.today },
    'passed',
  );
  const reason = verdict.reasons[0];
  if (reason === undefined) {
    // A shop may test sooner than the standard asks.
    return world.today > lastGoodDay(gear) ? `test out of date since ${addDays(lastGoodDay(gear), 1)}` : null;
  }
  if (reason.because === 'class-too-low') return `class ${reason.has}, needs ${reason.needs}`;
  if (reason.because === 'test-out-of-date') return `test out of date since ${reason.dueOn}`;
  return reason.because;
}
