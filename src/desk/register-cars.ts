import { valuesUsed } from '../flow/values.js';
import { valueFrom } from '../job/correct.js';
import type { Json, Way } from '../shop/change.js';
import { carKey, type Register } from '../shop/register.js';
import type { Slip } from '../talk/register-talk.js';
import { printQuantity } from '../units/notation.js';
import { dimensionOf } from '../units/unit.js';
import type { FlowSource } from './flow-source.js';
import type { OfficeCommand } from './office-command.js';
import { whole } from './register-gear.js';
import { type ChangeAsked, change, following, idOf, type Wanted } from './register-slip.js';

const SHAPES = [
  'car DEMO-9 model teasel, car DEMO-9 variant access pack-out, car DEMO-9 gone',
  'odometer DEMO-3 84200 km, car DEMO-3 km per year 15000',
  'value teasel discharge-wait 10 min Teasel manual 2.1',
] as const;

/** Words about a car. */
export const CAR_COMMAND: OfficeCommand = {
  words: ['car', 'odometer', 'variant'],
  shape: 'car REGISTRATION model MODEL',
  does: 'cars: model (adds it), odometer, km per year, variant, gone',
  who: 'foreman',
  change: hearCar,
};

function hearCar({ register, text, rest }: ChangeAsked): Wanted | Slip {
  const word = /^\s*(\S+)/.exec(text)?.[1]?.toLowerCase() ?? '';
  const [, said = '', tail = ''] = /^(\S+)\s+([\s\S]+)$/.exec(rest) ?? [];
  if (tail === '') return { no: 'shape', shapes: SHAPES };
  const car = register.cars.get(carKey(said));
  const at: Way = ['cars', { by: 'registration', is: car?.registration ?? said.toUpperCase() }];
  const phrase = word === 'car' ? tail : `${word} ${tail}`;
  const model = /^model\s+(\S+)$/i.exec(phrase)?.[1];
  if (model !== undefined) {
    const id = idOf(model, register.models.keys());
    if (id === null) return { no: 'such', what: 'model', said: model, have: [...register.models.keys()] };
    if (car !== undefined) return change(register, 'vehicles.json', [...at, 'model'], id);
    const entry = { registration: said.toUpperCase(), model: id, odometerKm: null, kmPerYear: null };
    return change(register, 'vehicles.json', at, entry);
  }
  if (car === undefined)
    return {
      no: 'such',
      what: 'car',
      said,
      have: [...register.cars.values()].map((one) => one.registration),
    };
  const odometer = /^odometer\s+(\d[\d ,.']*)\s*(km|mi|miles)?$/i.exec(phrase);
  if (odometer !== null) {
    // Miles are not guessed at: a due distance is counted in kilometres.
    if (odometer[2]?.toLowerCase().startsWith('mi')) return { no: 'amount', said: tail, wanted: '84200 km' };
    const digits = (odometer[1] ?? '').trim().replace(/[ ,.'](?=\d{3}\b)/g, '');
    return whole(digits, (km) =>
      following(
        change(register, 'vehicles.json', [...at, 'odometerKm'], km),
        car.odometerKm !== null && km < car.odometerKm ? { is: 'lower' } : null,
      ),
    );
  }
  const year = /^(?:km per year|km a year|kmperyear)\s+(\d+)(?:\s*km)?$/i.exec(phrase)?.[1];
  if (year !== undefined)
    return whole(year, (km) => change(register, 'vehicles.json', [...at, 'kmPerYear'], km));
  const variant = /^variant\s+(\S+?)(?:\s+|\s*=\s*)(\S+)$/i.exec(phrase);
  if (variant !== null) return setVariant(register, car.model, at, variant[1] ?? '', variant[2] ?? '');
  if (/^gone$/i.test(phrase)) return change(register, 'vehicles.json', at, null);
  return { no: 'shape', shapes: SHAPES };
}

function setVariant(register: Register, model: string, at: Way, said: string, value: string): Wanted | Slip {
  const names = [...register.models.values()].flatMap((one) => Object.keys(one.choices));
  const name = idOf(said, names);
  if (name === null) return { no: 'such', what: 'variant', said, have: [...new Set(names)] };
  const of = register.models.get(model)?.choices[name];
  // What the model says anyway is not said again of the car.
  const after = of === value.toLowerCase() ? null : value.toLowerCase();
  return change(register, 'vehicles.json', [...at, 'choices', name], after);
}

/** A value of a model, by the model or one of its cars, or of the shop, with where it is printed. */
export const VALUE_COMMAND: OfficeCommand = {
  words: ['value'],
  shape: 'value MODEL NAME AMOUNT SOURCE',
  does: 'a value of a model (or of a car of it, or: shop), with its manual reference',
  who: 'foreman',
  change: hearValue,
};

function hearValue({ register, rest, name, today, flows }: ChangeAsked): Wanted | Slip {
  const [, of = '', key = '', words = ''] = /^(\S+)\s+(\S+)\s+(\S[\s\S]*)$/.exec(rest) ?? [];
  if (words === '') return { no: 'shape', shapes: [SHAPES[2]] };
  const shop = of.toLowerCase() === 'shop';
  const model = idOf(of, register.models.keys()) ?? register.cars.get(carKey(of))?.model ?? null;
  if (!shop && model === null)
    return { no: 'such', what: 'model or car', said: of, have: [...register.models.keys(), 'shop'] };
  const known = valueNames(register, flows, shop);
  const found = idOf(key.replace(/^(?:vehicle|shop)\./i, ''), known.keys());
  if (found === null)
    return { no: 'such', what: 'value', said: key, have: nearFirst(key, [...known.keys()]) };
  const value = valueFrom(words, name);
  const wanted = known.get(found) ?? null;
  if (
    value === null ||
    (wanted !== null && (value.quantity === null || dimensionOf(value.quantity.unit) !== wanted))
  )
    return { no: 'amount', said: words, wanted: wanted ?? 'a word' };
  if (value.reference === '') return { no: 'source' };
  const entry: Json = {
    ...(value.quantity === null ? { text: value.text ?? '' } : { value: printQuantity(value.quantity) }),
    ...{ reference: value.reference, enteredBy: name, entered: today },
  };
  if (shop) return change(register, 'shop.json', ['values', found], entry);
  return change(register, 'vehicles.json', ['models', { by: 'id', is: model ?? '' }, 'values', found], entry);
}

/** The names that a flow reads or a model has, with the dimension of each; null for a word. */
function valueNames(
  register: Register,
  flows: FlowSource,
  shop: boolean,
): ReadonlyMap<string, string | null> {
  const found = new Map<string, string | null>();
  const of = shop ? [register.shop.values] : [...register.models.values()].map(({ values }) => values);
  for (const values of of)
    for (const [name, { quantity }] of Object.entries(values))
      found.set(name, quantity === null ? null : dimensionOf(quantity.unit));
  const source = shop ? 'shop.' : 'vehicle.';
  for (const id of flows.startable()) {
    const flow = flows.current(id);
    for (const { key, dimension } of flow === null ? [] : valuesUsed(flow))
      if (key.startsWith(source) && !found.has(key.slice(source.length)))
        found.set(key.slice(source.length), dimension);
  }
  return found;
}

const MOST_NAMED = 12;

function nearFirst(said: string, names: readonly string[]): readonly string[] {
  const [start = ''] = said.toLowerCase().split('-');
  const near = names.filter((name) => name.includes(start));
  return (near.length > 0 ? near : names).slice(0, MOST_NAMED);
}
