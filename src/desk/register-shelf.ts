import type { Slip } from '../talk/register-talk.js';
import { compareDates } from '../trade/dates.js';
import type { OfficeCommand } from './office-command.js';
import { type ChangeAsked, change, dayOf, following, idOf, type Wanted } from './register-slip.js';

const SHAPES = ['batch B-77 moorseal-4 use by 2027-02', 'batch B-77 gone'] as const;

/** Words about a batch of sealant. */
export const BATCH_COMMAND: OfficeCommand = {
  words: ['batch', 'sealant'],
  shape: 'batch BATCH PRODUCT use by DAY',
  does: 'sealant: a batch with its last day (a month is its last day), or: gone',
  who: 'foreman',
  change: hearBatch,
};

function hearBatch({ register, rest, today }: ChangeAsked): Wanted | Slip {
  const { products } = register.written['sealants.json'];
  const gone = /^(\S+)\s+gone$/i.exec(rest)?.[1];
  const found = /^(\S+)\s+(?:(\S.*?)\s+)?use\s?by\s+(\S.*)$/i.exec(rest);
  const said = gone ?? found?.[1] ?? '';
  if (said === '') return { no: 'shape', shapes: SHAPES };
  const known = idOf(said, register.sealants.keys());
  const at = ['batches', { by: 'batch', is: known ?? said }] as const;
  if (gone !== undefined)
    return known === null
      ? { no: 'such', what: 'batch', said, have: [...register.sealants.keys()] }
      : change(register, 'sealants.json', at, null);
  const day = dayOf(found?.[3] ?? '', today);
  if (day === null) return { no: 'day', said: found?.[3] ?? '' };
  const past = compareDates(day, today) < 0 ? ({ is: 'past', day } as const) : null;
  const words = found?.[2];
  if (words === undefined && known !== null)
    return following(change(register, 'sealants.json', [...at, 'useBy'], day), past);
  const product = products.find(({ id, name }) => idOf(words ?? '', [id, name]) !== null);
  if (product === undefined)
    return { no: 'such', what: 'product', said: words ?? '', have: products.map(({ id }) => id) };
  const entry = { batch: known ?? said, product: product.id, useBy: day };
  return following(change(register, 'sealants.json', at, entry), past);
}
