import { DateTime } from 'luxon';
import { WEEKDAYS } from '../shop/settings.js';
import type { Slip } from '../talk/register-talk.js';
import { parseQuantity, printQuantity } from '../units/notation.js';
import type { OfficeCommand } from './office-command.js';
import { personIn } from './register-people.js';
import { type ChangeAsked, change, dayOf, idOf, momentOf, valueIn, type Wanted } from './register-slip.js';

/** Words about who stands in for the foreman. */
export const DEPUTY_COMMAND: OfficeCommand = {
  words: ['deputy', 'deputies'],
  shape: 'deputy jory until friday 18:00',
  does: 'who stands in, now or from MOMENT, until MOMENT; or: deputy jory off',
  who: 'foreman',
  change: hearDeputy,
};

type Deputy = { readonly person: string; readonly from: string; readonly until: string };

function hearDeputy({ register, rest, today, now }: ChangeAsked): Wanted | Slip {
  const found = /^(\S+)\s+(?:(off)|(?:from\s+(\S.*?)\s+)?until\s+(\S.*))$/i.exec(rest);
  if (found === null) return { no: 'shape', shapes: ['deputy jory until friday 18:00', 'deputy jory off'] };
  const [, said = '', off, from, until = ''] = found;
  const person = personIn(said, register);
  const have = [...register.people.keys()];
  if (person === null || !register.people.has(person)) return { no: 'such', what: 'person', said, have };
  const deputies = (valueIn(register, 'shop.json', ['deputies']) ?? []) as readonly Deputy[];
  // Spans that are over say nothing any more.
  const here = momentNow(register.shop.zone, now);
  const others = deputies.filter((one) => one.person !== person && one.until > here);
  if (off !== undefined) return change(register, 'shop.json', ['deputies'], others);
  const begins = from === undefined ? here : momentOf(from, today, false);
  if (begins === null) return { no: 'moment', said: from ?? '' };
  const ends = momentOf(until, today, true);
  if (ends === null) return { no: 'moment', said: until };
  return change(register, 'shop.json', ['deputies'], [...others, { person, from: begins, until: ends }]);
}

/** Words about the workshop's own figures, days and numbers. */
export const SHOP_COMMANDS: readonly OfficeCommand[] = [
  {
    words: ['setting', 'settings'],
    shape: 'setting pause 20 min',
    does: 'pause, visit, dead-test or check-in-grace',
    who: 'foreman',
    change: ({ register, rest }) => {
      const [, said = '', amount = ''] = /^(\S+)\s+(\S.*)$/.exec(rest) ?? [];
      const names = ['pause', 'visit', 'dead-test', 'check-in-grace'];
      const name = idOf(said, names);
      if (name === null) return { no: 'such', what: 'setting', said, have: names };
      const quantity = parseQuantity(amount);
      if (quantity === null) return { no: 'amount', said: amount, wanted: '20 min' };
      return change(register, 'shop.json', ['settings', name], printQuantity(quantity));
    },
  },
  {
    words: ['hours'],
    shape: 'hours friday 07:00-15:30',
    does: 'shifts of a weekday, with commas between them; or: closed',
    who: 'foreman',
    change: ({ register, rest }) => {
      const [, said = '', times = ''] = /^(\S+)\s+(\S.*)$/.exec(rest) ?? [];
      const day = WEEKDAYS.find((one) => said.length >= 3 && one.startsWith(said.toLowerCase()));
      if (day === undefined) return { no: 'such', what: 'weekday', said, have: WEEKDAYS };
      if (/^closed$/i.test(times)) return change(register, 'shop.json', ['hours', day], []);
      const shifts = times
        .split(/\s*,\s*/)
        .map((one) => /^(\d\d:\d\d)\s*(?:-|–|to)\s*(\d\d:\d\d)$/.exec(one));
      if (shifts.some((one) => one === null)) return { no: 'moment', said: times };
      const hours = shifts.map((one) => ({ from: one?.[1] ?? '', to: one?.[2] ?? '' }));
      return change(register, 'shop.json', ['hours', day], hours);
    },
  },
  {
    words: ['closed', 'open'],
    shape: 'closed 2026-12-24',
    does: 'a day without shifts; open DAY takes it back',
    who: 'foreman',
    change: ({ register, text, rest, today }) => {
      const day = dayOf(rest, today);
      if (day === null) return { no: 'day', said: rest };
      const days = (valueIn(register, 'shop.json', ['closed']) ?? []) as readonly string[];
      const others = days.filter((one) => one !== day);
      const after = /^\s*open/i.test(text) ? others : [...others, day].sort();
      return after.length === days.length ? { no: 'same' } : change(register, 'shop.json', ['closed'], after);
    },
  },
  {
    words: ['number', 'numbers'],
    shape: 'number First aid: ext. 11',
    does: 'an emergency number, on every stop card; or: number First aid: gone',
    who: 'foreman',
    change: ({ register, rest }) => {
      const [, label = '', number = ''] = /^([^:]+?)\s*:\s*(\S.*)$/.exec(rest) ?? [];
      if (number === '') return { no: 'shape', shapes: ['number First aid: ext. 11'] };
      const numbers = register.shop.emergency;
      const known = numbers.findIndex((one) => one.label.toLowerCase() === label.toLowerCase());
      const kept = numbers.map((one) => ({ label: one.label, number: one.number }));
      if (/^gone$/i.test(number))
        return change(
          register,
          'shop.json',
          ['emergency'],
          kept.filter((_, at) => at !== known),
        );
      const entry = { label: kept[known]?.label ?? label, number };
      const after = known < 0 ? [...kept, entry] : kept.with(known, entry);
      return change(register, 'shop.json', ['emergency'], after);
    },
  },
];

function momentNow(zone: string, now: number): string {
  return DateTime.fromMillis(now, { zone }).toFormat('yyyy-MM-dd HH:mm');
}
