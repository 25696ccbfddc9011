import type { Flow, Step } from '../flow/flow.js';
import { judgeBond } from '../trade/bonding.js';
import { judgeDecay } from '../trade/decay-test.js';
import { type Bus, judgeInsulation, type OhmsReading } from '../trade/insulation.js';
import { judgeDew } from '../trade/moist-air.js';
import { judgeCoverPlan } from '../trade/open-time.js';
import { judgeTorque } from '../trade/torque.js';
import { type Quantity, valueIn } from '../units/quantity.js';
import { coolantBalance, frost } from './circuit.js';
import { releaseInstant } from './cure.js';
import type { Figure } from './event.js';
import type { Job } from './job.js';
import { hold, type Judgement, missing, needed, passed, read, round } from './judgement.js';
import { liftBalance, liftBalancePackOut, tableCarries } from './lifting.js';
import { keyOf, MAX_VOLTAGE, valueOfRef } from './value.js';

/** The calculation that judges all readings of a step, by the name the flow gives it. */
export function judgeStep(job: Job, flow: Flow, step: Step): Judgement | null {
  if (step.judge === null) return null;
  const judge = JUDGES[step.judge];
  if (judge === undefined) return { verdict: 'hold', because: `no calculation ${step.judge}`, figures: [] };
  const judged = judge(job, step, flow);
  if (judged.verdict !== 'hold' || judged.firm === true || step.outOfLimits !== 'again') return judged;
  return { ...judged, verdict: 'again' };
}

type Judge = (job: Job, step: Step, flow: Flow) => Judgement;

/** By the names of `flow/calc.ts`, which says what each of them reads. */
const JUDGES: Readonly<Record<string, Judge>> = {
  'lift-balance': liftBalance,
  'lift-balance-pack-out': liftBalancePackOut,
  'table-carries': tableCarries,
  'coolant-balance': coolantBalance,
  frost,
  bonding,
  'dew-point': dewPoint,
  'sealant-plan': sealantPlan,
  insulation,
  'enclosure-tight': enclosureTight,
  'pack-cool': packCool,
  'joint-torque': jointTorque,
};

function dewPoint(job: Job): Judgement {
  const air = airOf(job);
  const surfaceCelsius = read(job, 'pack-skin', '°C');
  const margin = job.values['shop.dew-margin']?.quantity ?? null;
  if (air === null || surfaceCelsius === null || margin === null) return missing();
  const judged = judgeDew({ surfaceCelsius, air, marginKelvin: margin.value });
  if (!judged.ok) return hold(judged.because);
  const figures: Figure[] = [
    {
      name: 'dew-point',
      quantity: { value: round(judged.dewPointCelsius, 1), unit: '°C' },
      rule: 'dew-point',
    },
    {
      name: 'dew-margin',
      quantity: { value: round(judged.aboveDewKelvin, 1), unit: 'K' },
      min: margin,
      rule: 'common-practice',
    },
  ];
  return judged.staysDry ? passed(figures) : { verdict: 'again', because: 'below-dew-margin', figures };
}

function sealantPlan(job: Job): Judgement {
  const air = airOf(job);
  const panel = read(job, 'panel-temp', '°C');
  const min = (key: string) => needed(job, key, 'min');
  const sheet = min('sealant.skin-time');
  const [lay, fit, first, reserve] = ['lay-time', 'fit-time', 'first-pass-time', 'open-time-reserve'].map(
    (name) => min(`shop.${name}`),
  );
  if (air === null || panel === null || sheet === null) return missing();
  if (lay == null || fit == null || first == null || reserve == null) return missing();
  const plan = { layMinutes: lay, fitMinutes: fit, firstPassMinutes: first };
  // The skin forms at the warmer of air and panel, so the time is the shorter of the two.
  const warmer = { ...air, celsius: Math.max(air.celsius, panel) };
  const judged = judgeCoverPlan({ sheetOpenMinutes: sheet, air: warmer, plan, marginFraction: 0 });
  if (!judged.ok) return hold(judged.because);
  const openMinutes = Math.floor(judged.openMinutes);
  const figures: Figure[] = [
    {
      name: 'open-time',
      quantity: { value: openMinutes, unit: 'min' },
      min: { value: round(judged.neededMinutes + reserve, 1), unit: 'min' },
      rule: 'open-time',
    },
  ];
  const colder = { at: job.now, celsius: Math.min(air.celsius, panel), percentRh: air.percentRh };
  const ahead = { ...job, air: [colder] };
  for (const release of ['handle', 'test', 'drive'] as const) {
    const at = releaseInstant(ahead, release, job.now, null);
    if (at === null) return hold('cure-not-computable', figures);
    figures.push({
      name: `cure-${release}`,
      quantity: { value: round((at - job.now) / 3_600_000, 1), unit: 'h' },
      rule: 'cure-depth',
    });
  }
  return openMinutes >= judged.neededMinutes + reserve
    ? passed(figures)
    : hold('open-time-too-short', figures);
}

function insulation(job: Job): Judgement {
  const volts = needed(job, keyOf(MAX_VOLTAGE), 'V');
  const [plus, minus] = [ohms(job, 'insulation-plus'), ohms(job, 'insulation-minus')];
  const maker = needed(job, 'vehicle.insulation-minimum', 'Ω');
  const testVolts = needed(job, 'vehicle.insulation-test-voltage', 'V');
  if (volts === null || plus === null || minus === null || testVolts === null) return missing();
  // What the tester was set to and how long it was held count where the step asks them.
  const [setVolts, heldSeconds] = [read(job, 'insulation-volts', 'V'), read(job, 'insulation-held', 's')];
  const judged = judgeInsulation({
    workingVolts: volts,
    bus: busOf(job),
    makerOhms: maker,
    plus,
    minus,
    testVolts: setVolts ?? testVolts,
    heldSeconds,
    allowed: {
      lowestVolts: testVolts,
      highestVolts: testVolts,
      holdSeconds: heldSeconds === null ? null : needed(job, 'vehicle.insulation-test-hold', 's'),
    },
  });
  if (!judged.ok) return hold(judged.because);
  const limit: Quantity = { value: judged.limit.limitOhms / 1e6, unit: 'MΩ' };
  const rule = judged.limit.ruledBy === 'maker' ? 'maker' : `${judged.limit.ohmsPerVolt}-ohm-per-volt`;
  const figures = ['insulation-plus', 'insulation-minus'].flatMap((name): Figure[] => {
    const reading = job.readings[name]?.[0];
    return reading === undefined ? [] : [{ name, quantity: reading.quantity, min: limit, rule }];
  });
  return judged.outcome === 'pass' ? passed(figures) : hold(judged.outcome, figures);
}

/** `no`: the DC bus alone. `protected`: every AC bus doubly insulated or enclosed. Anything else is the stricter case. */
function busOf(job: Job): Bus {
  const text = job.values['vehicle.ac-joined']?.text;
  if (text === 'no') return 'dc';
  return text === 'protected' ? 'joined-protected' : 'joined';
}

/** How far a start pressure may lie from the maker's. Common practice, no source. */
const START_BAND = 0.1;

function enclosureTight(job: Job): Judgement {
  const pascal = (name: string) => read(job, name, 'Pa');
  const [p1, p2, airPaAbs] = [pascal('p-start'), pascal('p-end'), pascal('air-pressure')];
  const [t1, t2] = [read(job, 't-start', '°C'), read(job, 't-end', '°C')];
  const [start, drop] = [needed(job, 'vehicle.tight-start', 'Pa'), needed(job, 'vehicle.tight-limit', 'Pa')];
  const minutes = needed(job, 'vehicle.tight-minutes', 'min');
  const coarse = job.values['shop.thermometer-error']?.quantity ?? null;
  const [first, last] = [job.readings['p-start']?.[0], job.readings['p-end']?.[0]];
  if (p1 === null || p2 === null || airPaAbs === null || t1 === null || t2 === null) return missing();
  if (start === null || drop === null || minutes === null || coarse === null) return missing();
  if (first === undefined || last === undefined) return missing();
  const judged = judgeDecay({
    first: { gaugePa: p1, gasC: t1, airPaAbs },
    second: { gaugePa: p2, gasC: t2, airPaAbs },
    seconds: (last.at - first.at) / 1000,
    limit: {
      startPa: { from: start * (1 - START_BAND), to: start * (1 + START_BAND) },
      seconds: minutes * 60,
      mostDropPa: drop,
    },
    thermometerErrorK: coarse.value,
  });
  const limit: Quantity = { value: drop / 100, unit: 'mbar' };
  if (!judged.ok) {
    // What says nothing about the enclosure is measured again; only a real loss is a finding.
    return { verdict: 'again', because: judged.because, figures: [] };
  }
  const figures: Figure[] = [
    {
      name: 'compensated-drop',
      quantity: { value: round(judged.dropPa / 100, 2), unit: 'mbar' },
      max: limit,
      rule: 'gas-law',
    },
  ];
  return judged.verdict === 'tight' ? passed(figures) : hold('leaks', figures);
}

function packCool(job: Job): Judgement {
  const [pack, air] = [read(job, 'pack-temp', '°C'), read(job, 'air-temp', '°C')];
  const margin = job.values['shop.pack-warm-margin']?.quantity ?? null;
  if (pack === null || air === null || margin === null) return missing();
  const figures: Figure[] = [
    {
      name: 'pack-above-air',
      quantity: { value: round(pack - air, 1), unit: 'K' },
      max: margin,
      rule: 'common-practice',
    },
  ];
  return pack - air <= margin.value ? passed(figures) : hold('pack-warm', figures);
}

function jointTorque(job: Job, step: Step): Judgement {
  const ask = step.asks.find((one) => one.ask === 'values');
  if (step.tighten === null || ask?.ask !== 'values') return missing();
  const target = valueOfRef(job, step.tighten.torque);
  const percent = needed(job, `${keyOf(step.tighten.torque)}-tolerance`, '%');
  const readings = job.readings[ask.name] ?? [];
  if (target === null || percent === null || readings.length === 0) return missing();
  const figures: Figure[] = [];
  let because = 'in-limits';
  for (const [at, reading] of readings.entries()) {
    const judged = judgeTorque(reading.quantity, target, { percent });
    if (!judged.ok) return hold(judged.because, figures);
    figures.push({
      name: `${ask.name}-${at + 1}`,
      quantity: reading.quantity,
      min: judged.band.from,
      max: judged.band.to,
      rule: 'maker',
    });
    if (judged.verdict !== 'in-band') because = judged.verdict;
  }
  return because === 'in-limits' ? passed(figures) : hold(because, figures);
}

/** UN R100 or the maker's figure, the strictest. `bonding-current` counts where the step asks it. */
function bonding(job: Job): Judgement {
  const [reading, amperes] = [job.readings.bonding?.[0], read(job, 'bonding-current', 'A')];
  const ohm = read(job, 'bonding', 'Ω');
  if (reading === undefined || ohm === null) return missing();
  const judged = judgeBond({
    ohms: ohm,
    atLeast: reading.bound === 'at-least',
    makerOhms: needed(job, 'vehicle.bonding-max', 'Ω'),
    testAmperes: amperes,
  });
  if (!judged.ok) return hold(judged.because);
  const max: Quantity = { value: judged.limitOhms, unit: 'Ω' };
  const figures: Figure[] = [{ name: 'bonding', quantity: reading.quantity, max, rule: judged.ruledBy }];
  if (judged.outcome === 'bonded') return passed(figures);
  if (judged.outcome === 'too-high') return hold('bond-too-high', figures);
  return { verdict: 'again', because: judged.outcome, figures };
}

function ohms(job: Job, name: string): OhmsReading | null {
  const reading = job.readings[name]?.[0];
  if (reading === undefined) return null;
  return {
    kind: reading.bound === 'at-least' ? 'at-least' : 'measured',
    ohms: valueIn(reading.quantity, 'Ω'),
  };
}

function airOf(job: Job): { readonly celsius: number; readonly percentRh: number } | null {
  const [celsius, percentRh] = [read(job, 'air-temp', '°C'), read(job, 'humidity', '%')];
  return celsius === null || percentRh === null ? null : { celsius, percentRh };
}
