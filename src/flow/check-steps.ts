import { convert, type Quantity } from '../units/quantity.js';
import { type Dimension, dimensionOf } from '../units/unit.js';
import { CALCULATIONS, SETTLINGS } from './calc.js';
import { meant, oneOf } from './closest.js';
import type { Compiled } from './compile.js';
import { amountOf } from './facts.js';
import type { Fault } from './fault.js';
import type { ReadingText } from './grammar.js';
import type { Stop } from './route.js';
import type { Path } from './source.js';
import { placeholdersIn, valuesOfStep } from './values.js';

/** Faults of what steps ask: readings and limits, units, calculations, options, gear, texts with values in them. */
export function checkSteps(compiled: Compiled, readingsAnywhere: ReadonlySet<string>): readonly Fault[] {
  const faults: Fault[] = [];
  const read = new Map<string, Dimension>();
  const figures = new Set<string>();
  const taken = new Set<string>(['lift']);
  const values = new Map<string, Dimension | 'text'>();
  compiled.stops.forEach((stop, index) => {
    const step = compiled.flow.steps[index];
    if (step === undefined) return;
    const complain: Complain = (path, problem, remedy, at = 'value') =>
      faults.push(stop.file.source.fault([...stop.path, ...path], problem, remedy, at));
    checkReadings(stop, read, complain);
    checkWatch(stop, read, figures, complain);
    checkJudge(stop, compiled, read, readingsAnywhere, figures, complain);
    checkClocks(stop, compiled, figures, complain);
    checkMakes(stop, compiled, complain);
    if (stop.kind === 'choose') checkOptions(stop, compiled, complain);
    checkShape(stop, complain);
    for (const kind of stop.text.takes ?? []) taken.add(kind);
    if (compiled.flow.start && step.route === 'job') {
      for (const kind of step.gear) {
        if (taken.has(kind)) continue;
        const remedy = `let a step before this one ask for it: takes: [${kind}]`;
        complain([stop.kind], `uses gear that nobody has named: ${kind}`, remedy, 'key');
        taken.add(kind);
      }
    }
    for (const use of valuesOfStep(compiled.flow.facts, step)) {
      if (use.dimension === null) continue;
      const known = values.get(use.key);
      if (known !== undefined && known !== use.dimension) {
        complain(
          [],
          `{${use.key}} is a ${use.dimension} here and a ${known} before`,
          'name another value in one of them',
        );
      }
      values.set(use.key, known ?? use.dimension);
    }
    checkPlaceholders(stop, complain);
  });
  return faults;
}

type Complain = (path: Path, problem: string, remedy: string, at?: 'key' | 'value') => void;

function checkReadings(stop: Stop, read: Map<string, Dimension>, complain: Complain): void {
  const here = new Set<string>();
  const names = [
    ...(stop.text.readings ?? []).map((text, index) => {
      const key = 'dead-test' in text ? 'dead-test' : 'name';
      return { name: 'dead-test' in text ? text['dead-test'] : text.name, path: ['readings', index, key] };
    }),
    ...(stop.text.fields ?? []).map((text, index) => ({ name: text.name, path: ['fields', index, 'name'] })),
  ];
  for (const { name, path } of names) {
    if (here.has(name)) complain(path, `"${name}" is asked twice in this step`, 'give one another name');
    here.add(name);
  }
  for (const [index, text] of (stop.text.readings ?? []).entries()) {
    const path: Path = ['readings', index];
    if ('dead-test' in text) {
      read.set(text['dead-test'], 'voltage');
      continue;
    }
    const dimension = dimensionOf(text.unit);
    checkDimension(text.name, dimension, read, [...path, 'unit'], complain);
    checkLimits(text, dimension, path, complain);
  }
  if (stop.text.values !== undefined) read.set(stop.text.values, 'torque');
}

function checkWatch(
  stop: Stop,
  read: Map<string, Dimension>,
  figures: Set<string>,
  complain: Complain,
): void {
  const { reading, until, makes } = stop.text;
  if (reading === undefined || until === undefined) return;
  const dimension = dimensionOf(reading.unit);
  checkDimension(reading.name, dimension, read, ['reading', 'unit'], complain);
  checkBand(reading, ['reading'], complain);
  if ((makes ?? []).length === 0) {
    complain(['watch'], 'a watch that settles nothing', 'let it make what then stands: makes: [FACT]', 'key');
  }
  const settling = SETTLINGS[until];
  if (settling === undefined) {
    const known = Object.keys(SETTLINGS);
    complain(
      ['until'],
      `no settling calculation "${until}"`,
      meant(until, known, `there are ${oneOf(known)}`),
    );
    return;
  }
  if (!settling.dimensions.includes(dimension)) {
    const problem = `${until} watches a ${oneOf(settling.dimensions)}, ${reading.unit} is a ${dimension}`;
    complain(['reading', 'unit'], problem, 'correct the unit, or name another calculation');
  }
  for (const figure of settling.figures) figures.add(figure);
}

function checkDimension(
  name: string,
  dimension: Dimension,
  read: Map<string, Dimension>,
  path: Path,
  complain: Complain,
): void {
  const known = read.get(name);
  if (known !== undefined && known !== dimension) {
    complain(path, `"${name}" was a ${known} before and is a ${dimension} here`, 'give it another name');
  }
  read.set(name, dimension);
}

function checkBand(
  { plausible }: { readonly plausible?: readonly [number, number] | undefined },
  path: Path,
  complain: Complain,
): void {
  const [from, to] = plausible ?? [0, 1];
  if (from < to) return;
  complain([...path, 'plausible'], `the band runs from ${from} to ${to}`, 'write the smaller one first');
}

function checkLimits(
  text: Extract<ReadingText, { name: string }>,
  dimension: Dimension,
  path: Path,
  complain: Complain,
): void {
  const [from, to] = text.plausible ?? [0, 1];
  checkBand(text, path, complain);
  if (text.limits === 'nil') {
    if (dimension !== 'voltage')
      complain([...path, 'limits'], `nil is for volts, not for ${text.unit}`, 'write min: or max:');
    return;
  }
  const { limits } = text;
  if (limits !== undefined && 'same' in limits) return;
  const literal = (key: 'min' | 'max'): Quantity | null => {
    const amount = amountOf(limits?.[key]);
    if (amount === null || 'from' in amount) return null;
    if (dimensionOf(amount.unit) === dimension) return convert(amount, text.unit);
    const remedy = `write it in ${text.unit}, or correct the unit of the reading`;
    complain([...path, 'limits', key], `a limit in ${amount.unit} for a reading in ${text.unit}`, remedy);
    return null;
  };
  const [min, max] = [literal('min'), literal('max')];
  if (min !== null && max !== null && min.value >= max.value) {
    complain([...path, 'limits'], `min ${min.value} is not below max ${max.value} ${text.unit}`, 'swap them');
  }
  for (const [key, limit] of [
    ['min', min],
    ['max', max],
  ] as const) {
    if (limit === null || text.plausible === undefined || (limit.value >= from && limit.value <= to))
      continue;
    complain(
      [...path, 'limits', key],
      `the limit ${limit.value} ${text.unit} lies outside plausible`,
      'widen plausible:',
    );
  }
}

function checkJudge(
  stop: Stop,
  compiled: Compiled,
  read: ReadonlyMap<string, Dimension>,
  anywhere: ReadonlySet<string>,
  figures: Set<string>,
  complain: Complain,
): void {
  const { judge, values } = stop.text;
  if (judge === undefined) {
    if (values !== undefined)
      complain(['values'], 'values are told and nobody judges them', 'add judge: joint-torque', 'key');
    return;
  }
  const calculation = CALCULATIONS[judge];
  if (calculation === undefined) {
    const known = Object.keys(CALCULATIONS);
    complain(['judge'], `no calculation "${judge}"`, meant(judge, known, `there are ${oneOf(known)}`));
    return;
  }
  if ((stop.text.readings ?? []).length === 0 && values === undefined) {
    const remedy = 'move it to the step that measures';
    complain(['judge'], `nothing is measured here, so ${judge} would never be judged`, remedy, 'key');
  }
  for (const reading of calculation.readings) {
    const dimension = read.get(reading.name);
    if (dimension !== undefined && dimension !== reading.dimension) {
      complain(
        ['judge'],
        `${judge} reads "${reading.name}" as a ${reading.dimension}, it is a ${dimension}`,
        'correct its unit',
      );
    }
    if (reading.optional === true) continue;
    if (dimension !== undefined || (!compiled.flow.start && anywhere.has(reading.name))) continue;
    const remedy = meant(reading.name, [], 'ask it in this step or before');
    complain(['judge'], `${judge} reads "${reading.name}", which nobody has told by then`, remedy);
  }
  for (const figure of calculation.figures) figures.add(figure);
}

const FIGURES = new Set(
  [...Object.values(CALCULATIONS), ...Object.values(SETTLINGS)].flatMap(({ figures }) => figures),
);

function checkClocks(stop: Stop, compiled: Compiled, figures: ReadonlySet<string>, complain: Complain): void {
  for (const [index, id] of (stop.text.makes ?? []).entries()) {
    const time = compiled.flow.facts.get(id)?.time ?? null;
    if (time === null || !('from' in time) || time.from !== 'figure') continue;
    if (!FIGURES.has(time.name)) {
      const remedy = meant(time.name, FIGURES, `there are ${oneOf(FIGURES, 20)}`);
      complain(
        ['makes', index],
        `clock "${id}" takes figure "${time.name}", which no calculation gives`,
        remedy,
      );
    } else if (compiled.flow.start && !figures.has(time.name)) {
      complain(
        ['makes', index],
        `clock "${id}" starts before "${time.name}" is worked out`,
        'judge it in an earlier step',
      );
    }
  }
}

/** Of two facts that stand instead of each other one act makes one: the second would end the first at once. */
function checkMakes(stop: Stop, compiled: Compiled, complain: Complain): void {
  const makes = stop.text.makes ?? [];
  for (const [index, fact] of makes.entries()) {
    const instead = compiled.flow.facts.get(fact)?.insteadOf ?? [];
    const other = makes.slice(0, index).find((one) => instead.includes(one));
    if (other === undefined) continue;
    complain(
      ['makes', index],
      `"${fact}" stands instead of "${other}"`,
      'make one of them here: delete the other',
    );
  }
}

function checkOptions(stop: Stop, compiled: Compiled, complain: Complain): void {
  const options = Object.entries(stop.text.options ?? {});
  if (options.length < 2) complain(['options'], 'fewer than two options', 'a choice has two or more', 'key');
  const open = options.filter(([, option]) => option.hold === undefined).map(([say]) => say);
  if (open.length === 0)
    complain(['options'], 'every option holds the job', 'one of them has to go on', 'key');
  const meaning = new Map<string, string>();
  for (const [say, option] of options) {
    if ((option['named-in'] === undefined) !== (option.else === undefined)) {
      const remedy = 'write both: the value, and why the job is held where it does not name this';
      complain(['options', say], '`named-in` and `else` go together', remedy, 'key');
    }
    if (option.hold !== undefined && option['named-in'] !== undefined) {
      complain(['options', say], 'it is held whatever the vehicle', 'delete `named-in` and `else`', 'key');
    }
    for (const [index, word] of [say, ...(option.also ?? [])].entries()) {
      const known = meaning.get(word.toLowerCase());
      const path = index === 0 ? ['options', say] : ['options', say, 'also', index - 1];
      if (known !== undefined)
        complain(path, `"${word}" means ${known} already`, 'take it out of one of them');
      meaning.set(word.toLowerCase(), say);
    }
  }
  const other = compiled.stops.find((one) => one.choice === stop.choice);
  if (other === undefined || other === stop) return;
  const theirs = Object.keys(other.text.options ?? {}).join();
  if (theirs !== options.map(([say]) => say).join()) {
    const remedy = 'give one of them another choice:';
    complain(
      ['options'],
      `choice "${stop.choice}" is made by "${other.id}" with other options`,
      remedy,
      'key',
    );
  }
}

function checkShape(stop: Stop, complain: Complain): void {
  const { text, kind } = stop;
  const read = [text.readings, text.values, text.reading].some((part) => part !== undefined);
  const asked = [text.fields, text.takes, text.standby].some((part) => part !== undefined);
  if (kind === 'record' && !asked) {
    complain(
      ['record'],
      'a record of nothing',
      'add fields:, takes: or standby: true, or make it a do',
      'key',
    );
  }
  if (text.standby === true && (text.makes ?? []).length === 0) {
    complain(['standby'], 'a standby of no use', 'let it make a proof: makes: [standby-here]', 'key');
  }
  if (text.meanwhile !== undefined && kind !== 'wait') {
    complain(['meanwhile'], `meanwhile on a ${kind}`, 'only a wait has a meanwhile: delete it', 'key');
  }
  if (text['out-of-limits'] !== undefined && !read) {
    complain(['out-of-limits'], 'nothing here has limits', 'delete it', 'key');
  }
}

function checkPlaceholders(stop: Stop, complain: Complain): void {
  const said: [Path, string | undefined][] = [[[stop.kind], stop.text[stop.kind]]];
  for (const key of ['card', 'meanwhile'] as const) {
    for (const [index, line] of (stop.text[key] ?? []).entries()) said.push([[key, index], line]);
  }
  for (const [index, reading] of (stop.text.readings ?? []).entries()) {
    if ('ask' in reading) said.push([['readings', index, 'ask'], reading.ask]);
  }
  if (stop.text.reading !== undefined) said.push([['reading', 'ask'], stop.text.reading.ask]);
  for (const [index, field] of (stop.text.fields ?? []).entries())
    said.push([['fields', index, 'ask'], field.ask]);
  said.push([['second', 'look'], stop.text.second?.look]);
  for (const [path, text] of said) {
    for (const broken of placeholdersIn(text ?? '').broken) {
      complain(path, `"${broken}" names no value`, 'write {vehicle.NAME}, or shop, sealant, lift');
    }
  }
}
