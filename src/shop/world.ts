import type { Car, Value } from '../job/event.js';
import type { World } from '../job/world.js';
import { type ShopDay, shiftEnd, shopDay } from './hours.js';
import { type Bay, carKey, type Register } from './register.js';

/** What the desk knows besides the register when it builds the world for a bay. */
export type Moment = Pick<World, 'now' | 'elsewhere' | 'standbyElsewhere' | 'draw'>;

// The day is the same for thousands of inputs, and working with zones is slow.
const days = new WeakMap<Register, ShopDay>();

/** What a job may know of the shop at an instant. The same register and moment give the same world. */
export function worldOf(register: Register, moment: Moment): World {
  const { shop, people, gear, sealants } = register;
  const { now, elsewhere, standbyElsewhere, draw } = moment;
  const day = dayOf(register, now);
  return {
    now,
    elsewhere,
    standbyElsewhere,
    draw,
    today: day.date,
    shiftEndsAt: shiftEnd(day, now),
    people,
    gear,
    sealants,
    foremen: foremenAt(register, now),
    emergency: shop.emergency,
    settings: shop.settings,
  };
}

/** Whether a shift runs at this instant. */
export function inHours(register: Register, now: number): boolean {
  return shiftEnd(dayOf(register, now), now) !== null;
}

function dayOf(register: Register, now: number): ShopDay {
  const known = days.get(register);
  if (known !== undefined && known.from <= now && now < known.until) return known;
  const day = shopDay(register.shop, now);
  days.set(register, day);
  return day;
}

/** Foremen, and deputies while they are named. */
export function foremenAt({ people, shop }: Register, now: number): readonly string[] {
  let ids = foremen.get(people);
  if (ids === undefined) {
    ids = [...people.values()].filter(({ roles }) => roles.includes('foreman')).map(({ id }) => id);
    foremen.set(people, ids);
  }
  const named = shop.deputies.filter(({ from, until }) => from <= now && now < until);
  return named.length === 0 ? ids : [...new Set([...ids, ...named.map(({ person }) => person)])];
}

const foremen = new WeakMap<Register['people'], readonly string[]>();

/** What a job takes from the register when it starts; from there on it has its own copy. */
export type JobGround = {
  readonly car: Car;
  readonly bay: Bay;
  /** By `SOURCE.NAME`: the vehicle's, the shop's and the lift's. A sealant's come with its batch. */
  readonly values: Readonly<Record<string, Value>>;
  /** The vehicle's variants: the model's, and where the car differs, its own. */
  readonly choices: Readonly<Record<string, string>>;
};

/** The ground of a job on a car in a bay; `unknown-car` or `unknown-bay` when the register has it not. */
export function jobGround(
  register: Register,
  registration: string,
  bayId: string,
): JobGround | 'unknown-car' | 'unknown-bay' {
  const car = register.cars.get(carKey(registration));
  const model = register.models.get(car?.model ?? '');
  const bay = register.bays.get(bayId);
  if (car === undefined || model === undefined) return 'unknown-car';
  if (bay === undefined) return 'unknown-bay';
  const { odometerKm, kmPerYear } = car;
  return {
    car: { registration: car.registration, model: model.id, odometerKm, kmPerYear },
    bay,
    values: {
      ...keyed('vehicle', model.values),
      ...keyed('shop', register.shop.values),
      ...keyed('lift', bay.values),
      ...(bay.lift === null ? {} : { 'lift.id': liftId(bay.lift, bay.label) }),
    },
    choices: { ...model.choices, ...car.choices },
  };
}

function liftId(id: string, bay: string): Value {
  return { quantity: null, text: id, reference: `register, ${bay}`, enteredBy: 'register' };
}

function keyed(source: string, values: Readonly<Record<string, Value>>): Record<string, Value> {
  return Object.fromEntries(Object.entries(values).map(([name, value]) => [`${source}.${name}`, value]));
}
