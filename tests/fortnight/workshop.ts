import { carKey, type Register } from '../../src/shop/register.js';
import { busyRegister } from '../bench/shop.js';

/** Twelve bays with a crew of their own each, and as many cars as come in two weeks. */
export const BAYS = Array.from({ length: 12 }, (_, at) => String(at + 1));

/** What comes in: the small jobs most often, one that is a day and a night's work now and then. */
export const MIX: readonly {
  readonly flow: string;
  readonly like: readonly string[];
  readonly part: number;
}[] = [
  { flow: 'tyre-swap', like: ['DEMO-1', 'DEMO-3', 'DEMO-4'], part: 45 },
  { flow: 'coolant-renew', like: ['DEMO-3'], part: 16 },
  { flow: 'lv-battery', like: ['DEMO-1', 'DEMO-3'], part: 22 },
  { flow: 'hv-cable', like: ['DEMO-1', 'DEMO-5'], part: 9 },
  { flow: 'disconnect-fuse', like: ['DEMO-1', 'DEMO-2', 'DEMO-3', 'DEMO-5'], part: 8 },
];

/** The demo workshop in Dublin hours with twelve bays: in each a technician, another one, and a standby. */
export function fortnightRegister(demo: Register): Register {
  const busy = busyRegister(demo, BAYS.length);
  const levels = [{ level: '3S', until: '2099-12-31' }];
  const jory = busy.people.get('jory');
  if (jory === undefined) throw new Error('the demo workshop has no jory');
  const others = BAYS.map((bay) => {
    const id = `jory-${bay}`;
    return [id, { ...jory, id, name: `${jory.name} ${bay}`, levels }] as const;
  });
  return { ...busy, people: new Map([...busy.people, ...others]) };
}

/** A car that came in, of the same kind as one of the demo cars. */
export function withCar(register: Register, registration: string, like: string): Register {
  const car = register.cars.get(carKey(like));
  if (car === undefined) throw new Error(`the demo workshop has no ${like}`);
  return { ...register, cars: new Map(register.cars).set(carKey(registration), { ...car, registration }) };
}
