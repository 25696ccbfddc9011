import type { Json } from '../shop/change.js';
import type { Slip } from '../talk/register-talk.js';
import { addMonths, compareDates } from '../trade/dates.js';
import type { OfficeCommand } from './office-command.js';
import { type ChangeAsked, change, changes, dayOf, following, idOf, type Wanted } from './register-slip.js';

const KINDS = [
  ...['gloves', 'tester', 'source', 'wrench', 'insulation-tester', 'gauge', 'lift', 'ohmmeter'],
] as const;

const SHAPES = [
  'gloves G2 tested 2026-11-20, wrench W1 calibrated today, gear T1 months 12',
  'gear G5 out leather torn, gear G5 back, gear T2 where cabinet 1, gear W1 cycles 0 (or: most 5000)',
  'gear add gloves G9 class 0 serial QG-0110 tested 2026-11-20 months 6',
] as const;

/** Words about a piece of gear. */
export const GEAR_COMMAND: OfficeCommand = {
  words: ['gear', ...KINDS],
  shape: 'gloves G2 tested DAY',
  does: 'gear: tested, calibrated, months, out, back, where, cycles, add',
  who: 'foreman',
  change: hearGear,
};

function hearGear(asked: ChangeAsked): Wanted | Slip {
  const { register, rest, today } = asked;
  const add = /^add\s+(\S+)\s+(\S+)\s*(.*)$/is.exec(rest);
  if (add !== null) return addGear(asked, add[1] ?? '', add[2] ?? '', add[3] ?? '');
  const [, said = '', verb = '', value = ''] = /^(\S+)\s+(\S+)\s*([\s\S]*)$/.exec(rest) ?? [];
  if (verb === '') return { no: 'shape', shapes: SHAPES };
  const id = idOf(said, register.gear.keys());
  const piece = id === null ? undefined : register.gear.get(id);
  if (id === null || piece === undefined)
    return { no: 'such', what: 'gear', said, have: [...register.gear.keys()] };
  const at = ['gear', { by: 'id', is: id }] as const;
  const set = (field: string, after: Json) => change(register, 'gear.json', [...at, field], after);
  switch (verb.toLowerCase()) {
    case 'tested':
    case 'calibrated': {
      const day = dayOf(value, today);
      if (day === null) return { no: 'day', said: value };
      if (compareDates(day, today) > 0) return { no: 'not-yet', day };
      // A wrench counts its cycles from the calibration on.
      const heard =
        piece.cycles === null
          ? set('tested', day)
          : changes(register, 'gear.json', [
              [[...at, 'tested'], day],
              [[...at, 'cycles', 'done'], 0],
            ]);
      const due = addMonths(day, piece.months);
      return following(heard, { is: compareDates(due, today) < 0 ? 'past' : 'good-until', day: due });
    }
    case 'months':
      return whole(value, (months) =>
        following(set('months', months), {
          is: compareDates(addMonths(piece.tested, months), today) < 0 ? 'past' : 'good-until',
          day: addMonths(piece.tested, months),
        }),
      );
    case 'out':
      return value === '' ? { no: 'shape', shapes: [`gear ${id} out WHY`] } : set('out', value);
    case 'back':
      return set('out', null);
    case 'where':
    case 'place':
      return value === '' ? { no: 'shape', shapes: [`gear ${id} where PLACE`] } : set('place', value);
    case 'label':
    case 'serial':
    case 'class':
      return value === '' ? { no: 'shape', shapes: SHAPES } : set(verb.toLowerCase(), value);
    case 'cycles': {
      const most = /^most\s+(\d+)$/i.exec(value)?.[1];
      const field = most === undefined ? 'done' : 'most';
      return whole(most ?? value, (count) => change(register, 'gear.json', [...at, 'cycles', field], count));
    }
    case 'rating': {
      const found = /^(\d[\d.]*\s?\S+)\s+pad\s+(\d[\d.]*\s?\S+)\s+(\S[\s\S]*)$/i.exec(value);
      if (found === null) return { no: 'shape', shapes: [`lift ${id} rating 3500 kg pad 900 kg SOURCE`] };
      const [, total = '', pad = '', reference = ''] = found;
      return set('rating', { total, pad, reference, enteredBy: asked.name });
    }
    default:
      return { no: 'shape', shapes: SHAPES };
  }
}

/** `class 0 serial QG-0110 tested 2026-11-20 months 6`, in any order. What lacks is told by the register's own check. */
function addGear({ register, today }: ChangeAsked, kind: string, id: string, words: string): Wanted | Slip {
  if (!KINDS.some((one) => one === kind.toLowerCase()))
    return { no: 'such', what: 'kind of gear', said: kind, have: KINDS };
  if (idOf(id, register.gear.keys()) !== null) return { no: 'new', what: 'gear', said: id };
  const said = fieldsIn(words);
  const tested = dayOf(said.get('tested') ?? '', today);
  if (tested === null) return { no: 'day', said: said.get('tested') ?? '' };
  if (compareDates(tested, today) > 0) return { no: 'not-yet', day: tested };
  const months = Number(said.get('months') ?? Number.NaN);
  if (!Number.isInteger(months)) return { no: 'amount', said: said.get('months') ?? '', wanted: 'months 12' };
  const [from, to] = (said.get('range') ?? '').split(/\s+to\s+/);
  const unit = /[^\d.\s].*$/.exec(to ?? '')?.[0];
  const most = Number(said.get('most') ?? Number.NaN);
  const entry = {
    id,
    kind: kind.toLowerCase(),
    label: said.get('label') ?? `${kind} ${id}`,
    serial: said.get('serial') ?? '',
    tested,
    months,
    class: said.get('class'),
    nominal: said.get('nominal'),
    place: said.get('where'),
    range:
      to === undefined ? undefined : { from: /[^\d.\s]/.test(from ?? '') ? from : `${from} ${unit}`, to },
    cycles: Number.isInteger(most) ? { done: 0, most } : undefined,
    lever: said.has('lever')
      ? { length: said.get('lever'), adapter: said.get('adapter') ?? '0 mm' }
      : undefined,
  };
  return change(register, 'gear.json', ['gear', { by: 'id', is: id }], JSON.parse(JSON.stringify(entry)));
}

const FIELDS = [
  'class',
  'serial',
  'tested',
  'months',
  'label',
  'range',
  'nominal',
  'most',
  'lever',
  'adapter',
  'where',
];

function fieldsIn(words: string): ReadonlyMap<string, string> {
  const parts = words.split(new RegExp(`\\b(${FIELDS.join('|')})\\s+`, 'i'));
  const found = new Map<string, string>();
  for (let at = 1; at + 1 < parts.length; at += 2)
    found.set((parts[at] ?? '').toLowerCase(), (parts[at + 1] ?? '').trim());
  return found;
}

/** A whole number, zero or more. */
export function whole(said: string, then: (count: number) => Wanted | Slip): Wanted | Slip {
  return /^\d{1,9}$/.test(said.trim()) ? then(Number(said)) : { no: 'amount', said, wanted: '12' };
}
