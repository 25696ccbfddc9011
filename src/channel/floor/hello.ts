import type { FlowSource } from '../../desk/flow-source.js';
import { WORKSHOP } from '../../shop/demo/workshop.js';
import type { Register } from '../../shop/register.js';
import type { Speaker } from './people.js';
import type { Hello } from './wire.js';

export type HelloParts = {
  readonly register: Register;
  readonly flows: FlowSource;
  readonly speaker: Speaker | null;
  readonly now: number;
  readonly first: boolean;
};

export function helloOf({ register, flows, speaker, now, first }: HelloParts): Hello {
  const { shop, bays, people, secrets, cars } = register;
  return {
    name: shop.name,
    zone: shop.zone,
    now,
    bays: [...bays.values()].map(({ id, label }) => ({ id, label })),
    people: [...people.values()].map(({ id, name }) => ({
      id,
      name,
      pin: (secrets.get(id)?.pin ?? null) !== null,
    })),
    me:
      speaker === null
        ? null
        : { id: speaker.person.id, name: speaker.person.name, own: speaker.session.own },
    shop: isDemo(register) ? 'demo' : 'own',
    first,
    flows: flows.startable().map((id) => ({ id, title: flows.current(id)?.title ?? id })),
    cars: [...cars.values()].map(({ registration }) => registration),
  };
}

/** The invented workshop goes by its name until somebody gives it another. */
export function isDemo({ shop }: Register): boolean {
  return shop.name === WORKSHOP['shop.json'].name;
}
