import type { Slip } from '../talk/register-talk.js';
import type { OfficeCommand } from './office-command.js';
import { type ChangeAsked, change, idOf, type Wanted } from './register-slip.js';

const SHAPES = [
  'bay add 4 lift L3 label Bay 4',
  'bay 2 lift L1 (or: none), bay 2 label Bay 2, left',
] as const;

/** Words about a bay itself; without the colon that says something in it. */
export const BAY_COMMAND: OfficeCommand = {
  words: ['bays'],
  claims: (text) =>
    /^\s*bay\s+(?:add\s+\S|\S+\s+(?:label\s+\S|slack\s+[CG][A-Z0-9]+\s*$|lift\s+\S+\s*$))/i.test(text),
  shape: 'bay 2 lift L1',
  does: 'bays: lift, label, slack channel, add',
  who: 'foreman',
  change: hearBay,
};

function hearBay({ register, text }: ChangeAsked): Wanted | Slip {
  const words = text.trim().replace(/^bays?\s+/i, '');
  const add = /^add\s+(\S+)(?:\s+lift\s+(\S+))?(?:\s+label\s+(\S.*))?$/i.exec(words);
  const lifts = [...register.gear.values()].filter(({ kind }) => kind === 'lift').map(({ id }) => id);
  const liftOf = (said: string) => (/^none$/i.test(said) ? null : (idOf(said, lifts) ?? undefined));
  const noLift = (said: string): Slip => ({ no: 'such', what: 'lift', said, have: [...lifts, 'none'] });
  if (add !== null) {
    const [, id = '', said = 'none', label = `Bay ${id}`] = add;
    if (idOf(id, register.bays.keys()) !== null) return { no: 'new', what: 'bay', said: id };
    const lift = liftOf(said);
    if (lift === undefined) return noLift(said);
    return change(register, 'bays.json', ['bays', { by: 'id', is: id }], { id, label, lift });
  }
  const [, said = '', field = '', value = ''] = /^(\S+)\s+(lift|label|slack)\s+(\S.*)$/i.exec(words) ?? [];
  if (field === '') return { no: 'shape', shapes: SHAPES };
  const id = idOf(said, register.bays.keys());
  if (id === null) return { no: 'such', what: 'bay', said, have: [...register.bays.keys()] };
  const at = ['bays', { by: 'id', is: id }] as const;
  if (field.toLowerCase() === 'label') return change(register, 'bays.json', [...at, 'label'], value);
  if (field.toLowerCase() === 'slack')
    return change(register, 'bays.json', [...at, 'accounts', 'slack'], value);
  const lift = liftOf(value);
  return lift === undefined ? noLift(value) : change(register, 'bays.json', [...at, 'lift'], lift);
}
