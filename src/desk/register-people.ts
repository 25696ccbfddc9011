import type { Role } from '../job/world.js';
import type { Json } from '../shop/change.js';
import type { Register } from '../shop/register.js';
import { officeSaid } from '../talk/office-words.js';
import type { Slip } from '../talk/register-talk.js';
import { compareDates } from '../trade/dates.js';
import type { OfficeCommand } from './office-command.js';
import {
  type ChangeAsked,
  change,
  changes,
  dayOf,
  folded,
  following,
  idOf,
  valueIn,
  type Wanted,
} from './register-slip.js';

const SHAPES = [
  'mara 3S until 2027-05-31, mara 3S gone, mara left, mara back',
  'mara role foreman, mara no role foreman, mara slack U0123ABC',
  'person add nell Nell Garrod as technician',
] as const;

/** Words about a person; they may begin with the person. */
export const PEOPLE_COMMAND: OfficeCommand = {
  words: ['person', 'people'],
  claims: (text, register) => personIn(officeSaid(text).word, register) !== null,
  shape: 'mara 3S until DAY',
  does: 'people: level, role, slack, left, back, add',
  who: 'foreman',
  change: hearPerson,
};

/** Everybody ever entered, those who have left too. */
function idsOf(register: Register): readonly string[] {
  const people = valueIn(register, 'people.json', ['people']);
  return Array.isArray(people) ? people.map((one: { readonly id?: Json }) => String(one.id)) : [];
}

/** The person that a word means: the id, or a first name that only one has; null for none. */
export function personIn(word: string, register: Register): string | null {
  const ids = idsOf(register);
  const byId = idOf(word, ids);
  if (byId !== null) return byId;
  const named = [...register.people.values()].filter(
    ({ name }) => folded(name.split(' ')[0] ?? '') === folded(word),
  );
  return named.length === 1 ? (named[0]?.id ?? null) : null;
}

function hearPerson(asked: ChangeAsked): Wanted | Slip {
  const { register, text, today } = asked;
  const words = text.trim().replace(/^(?:person|people)\s+/i, '');
  const add = /^add\s+(\S+)\s+(.+?)\s+as\s+(\S+)$/is.exec(words);
  if (add !== null) return addPerson(register, add[1] ?? '', add[2] ?? '', add[3] ?? '');
  const [, said = '', rest = ''] = /^(\S+)\s+([\s\S]+)$/.exec(words) ?? [];
  if (rest === '') return { no: 'shape', shapes: SHAPES };
  const id = personIn(said.replace(/:$/, ''), register);
  if (id === null) return { no: 'such', what: 'person', said, have: idsOf(register) };
  const at = ['people', { by: 'id', is: id }] as const;
  const set = (field: string, after: Json) => change(register, 'people.json', [...at, field], after);
  const level = /^(?:level\s+)?(\S+)\s+(?:until\s+(\S.*)|(gone))$/i.exec(rest);
  if (level !== null) return setLevel(asked, id, level[1] ?? '', level[2] ?? null);
  if (/^(?:has )?left$/i.test(rest)) return set('left', today);
  if (/^(?:is )?back$/i.test(rest)) return set('left', null);
  const role = /^(no\s+)?role\s+(\S+)$/i.exec(rest);
  if (role !== null) return setRole(register, id, role[1] === undefined, role[2] ?? '');
  const account = /^slack\s+([UW][A-Z0-9]+)$/.exec(rest)?.[1];
  if (account !== undefined) return change(register, 'people.json', [...at, 'accounts', 'slack'], account);
  const name = /^name\s+(\S.*)$/i.exec(rest)?.[1];
  return name === undefined ? { no: 'shape', shapes: SHAPES } : set('name', name);
}

/** `until` null takes the level away. */
function setLevel(
  { register, today }: ChangeAsked,
  id: string,
  said: string,
  until: string | null,
): Wanted | Slip {
  const at = ['people', { by: 'id', is: id }, 'levels'] as const;
  const stands = valueIn(register, 'people.json', at);
  const levels = (Array.isArray(stands) ? stands : []) as readonly {
    readonly level: string;
    readonly until: string;
  }[];
  const known = [...register.people.values()].flatMap((person) => person.levels.map(({ level }) => level));
  const level =
    [...levels.map((one) => one.level), ...known].find((one) => folded(one) === folded(said)) ?? said;
  const others = levels.filter((one) => one.level !== level);
  if (until === null) {
    const have = levels.map((one) => one.level);
    if (others.length === levels.length) return { no: 'such', what: 'level', said, have };
    return change(register, 'people.json', at, others);
  }
  const day = dayOf(until, today);
  if (day === null) return { no: 'day', said: until };
  const index = levels.findIndex((one) => one.level === level);
  const next = { level, until: day };
  const heard = change(
    register,
    'people.json',
    at,
    index < 0 ? [...levels, next] : levels.map((one, place) => (place === index ? next : one)),
  );
  return following(heard, compareDates(day, today) < 0 ? { is: 'past', day } : null);
}

const ROLES: readonly Role[] = ['technician', 'foreman', 'trainee', 'desk'];

function setRole(register: Register, id: string, has: boolean, said: string): Wanted | Slip {
  const role = ROLES.find((one) => one === said.toLowerCase());
  if (role === undefined) return { no: 'such', what: 'role', said, have: ROLES };
  const at = ['people', { by: 'id', is: id }, 'roles'] as const;
  const roles = (valueIn(register, 'people.json', at) ?? []) as readonly string[];
  const others = roles.filter((one) => one !== role);
  if (has === others.length < roles.length) return { no: 'same' };
  return change(register, 'people.json', at, has ? [...roles, role] : others);
}

function addPerson(register: Register, id: string, name: string, said: string): Wanted | Slip {
  if (idOf(id, idsOf(register)) !== null) return { no: 'new', what: 'person', said: id };
  const role = ROLES.find((one) => one === said.toLowerCase());
  if (role === undefined) return { no: 'such', what: 'role', said, have: ROLES };
  const person = { id: id.toLowerCase(), name, roles: [role] };
  return changes(register, 'people.json', [[['people', { by: 'id', is: person.id }], person]]);
}
