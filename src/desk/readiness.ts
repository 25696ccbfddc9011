import { DateTime } from 'luxon';
import type { Flow } from '../flow/flow.js';
import { valuesUsed } from '../flow/values.js';
import type { Choices } from '../rule/rules.js';
import type { Register, RegisteredCar } from '../shop/register.js';
import { jobGround } from '../shop/world.js';
import { judgeInDate, judgeUseBy, usable } from '../trade/in-date.js';
import type { FlowSource } from './flow-source.js';

/** Something that is missing or wrong before the first job, with what to do. `blocks`: no work before it is put right. */
export type Finding = {
  readonly about: string;
  readonly state: 'good' | 'note' | 'blocks';
  readonly words: string;
  /** Empty where all is well. */
  readonly remedy: string;
};

const good = (about: string, words: string): Finding => ({ about, state: 'good', words, remedy: '' });
const note = (about: string, words: string, remedy: string): Finding => ({
  about,
  state: 'note',
  words,
  remedy,
});

/** What the register and the flows lack for a day's work, at an instant. */
export function readiness(register: Register, flows: FlowSource, now: number): readonly Finding[] {
  const today = DateTime.fromMillis(now, { zone: register.shop.zone }).toISODate() ?? '';
  return [
    ...valueFindings(register, flows),
    ...gearFindings(register, today),
    ...sealantFindings(register, today),
    ...levelFindings(register, today),
    ...pinFindings(register),
  ];
}

/** Values that a flow will ask of the foreman in the middle of a job, by model of car. */
function valueFindings(register: Register, flows: FlowSource): readonly Finding[] {
  const startable = flows.startable().flatMap((id) => flows.current(id) ?? []);
  const bay = [...register.bays.values()].find(({ lift }) => lift !== null) ?? [...register.bays.values()][0];
  if (bay === undefined) return [note('bays', 'no bay in the register', 'Enter one in bays.json.')];
  // Cars of one model lack the same; each model is told once.
  const models = new Map<string, RegisteredCar>();
  for (const car of register.cars.values()) if (!models.has(car.model)) models.set(car.model, car);
  const found = [...models.values()].flatMap((car): Finding[] => {
    const ground = jobGround(register, car.registration, bay.id);
    if (typeof ground === 'string') return [];
    const keys = startable.flatMap((flow) => keysFor(flow, ground.choices));
    const lacks = [...new Set(keys)].filter((key) => ground.values[key] === undefined).sort();
    if (lacks.length === 0) return [];
    const remedy =
      'Enter them with their manual reference: vehicle.… in vehicles.json, shop.… in shop.json, lift.… in gear.json; ' +
      'what is missing in a job is asked of the foreman then.';
    return [note(`values of ${car.model}`, `missing: ${lacks.join(', ')}`, remedy)];
  });
  return found.length === 0
    ? [good('values', `all that the flows read for ${models.size} models are in the register`)]
    : found;
}

/** What a flow reads for a car of this variant; a choice that is only made in the job leaves all its steps in. */
function keysFor(flow: Flow, choices: Choices): readonly string[] {
  const may = new Set(
    flow.steps
      .filter(({ when }) =>
        when.every(({ reads, is }) => choices[reads] === undefined || is.includes(choices[reads])),
      )
      .map(({ id }) => id),
  );
  return valuesUsed(flow)
    .filter(({ key, optional, steps }) => !optional && !isSealant(key) && steps.some((id) => may.has(id)))
    .map(({ key }) => key);
}

const isSealant = (key: string) => key.startsWith('sealant.');

function gearFindings({ gear }: Register, today: string): readonly Finding[] {
  const bad = [...gear.values()].flatMap(({ id, kind, tested, months, out }) => {
    if (out !== null) return [{ kind, words: `${id} is out of use: ${out}` }];
    const date = judgeInDate({ testedOn: tested, intervalMonths: months, on: today });
    if (!date.ok) return [{ kind, words: `${id}: tested on ${tested} cannot be` }];
    return usable(date) ? [] : [{ kind, words: `${id} was due on ${date.dueOn}` }];
  });
  const kinds = [...new Set([...gear.values()].map(({ kind }) => kind))];
  const none = kinds.filter(
    (kind) =>
      bad.filter((one) => one.kind === kind).length ===
      [...gear.values()].filter((one) => one.kind === kind).length,
  );
  const list = bad.map(({ words }) => words).join('; ');
  const remedy = 'Have it tested and enter the day in gear.json, or put it away. No gate takes it as it is.';
  return [
    ...(none.length === 0 ? [] : [note('gear', `nothing fit for use: ${none.join(', ')}`, remedy)]),
    bad.length === 0 ? good('gear', `${gear.size} pieces in date`) : note('gear', list, remedy),
  ];
}

function sealantFindings({ sealants }: Register, today: string): readonly Finding[] {
  const old = [...sealants.values()].filter(({ useBy }) => {
    const date = judgeUseBy({ useBy, on: today });
    return !date.ok || !usable(date);
  });
  if (old.length === 0) return [good('sealant', `${sealants.size} batches in date`)];
  const list = old.map(({ batch, useBy }) => `${batch} (${useBy})`).join(', ');
  return [note('sealant', `past its day: ${list}`, 'Throw it away and take it out of sealants.json.')];
}

function levelFindings({ people }: Register, today: string): readonly Finding[] {
  const workers = [...people.values()].filter(({ roles }) => roles.some((role) => role !== 'desk'));
  const without = workers.filter(({ levels }) => !levels.some(({ until }) => until >= today));
  if (without.length === 0) return [good('levels', 'everybody who works here has one in date')];
  const list = without.map(({ id }) => id).join(', ');
  return [
    note(
      'levels',
      `none in date: ${list}`,
      'Enter the new day in people.json once it is there; until then no gate.',
    ),
  ];
}

function pinFindings({ people, secrets }: Register): readonly Finding[] {
  const without = [...people.keys()].filter((id) => (secrets.get(id)?.pin ?? null) === null);
  if (without.length === 0) return [good('PINs', 'everybody has one')];
  const words = `without one: ${without.join(', ')}`;
  const remedy = `npm run pin -- ${without[0]}; until all have one the page opens on this computer only.`;
  return [note('PINs', words, remedy)];
}
