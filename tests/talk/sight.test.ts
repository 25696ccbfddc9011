import { describe, expect, test } from 'vitest';
import type { Heard, HeardNumber, SightSaid } from '../../src/job/heard.js';
import type { Unit } from '../../src/units/unit.js';
import { type At, heardAt } from './setting.js';

const number = (value: number, unit: Unit | null = null): HeardNumber => ({ value, unit, bound: null });
const sight = (says: SightSaid): Heard => ({ heard: 'sight', says });
const stands = (value: number, unit: Unit | null = null): Heard => ({
  heard: 'readings',
  numbers: [number(value, unit)],
});
const added = (value: number, unit: Unit | null = null) =>
  sight({ is: 'added', number: number(value, unit) });
const emptied = (value: number, unit: Unit | null = null) =>
  sight({ is: 'emptied', number: number(value, unit), unread: false });
const EMPTIED = sight({ is: 'emptied', number: null, unread: false });
const UNREAD = sight({ is: 'emptied', number: null, unread: true });
const NOTHING = sight({ is: 'nothing-more' });
const RUNNING = sight({ is: 'running' });

describe('at a tray that is watched', () => {
  test.each<[string, Heard]>([
    ['120', stands(120)],
    ['120 ml', stands(120, 'ml')],
    ['0.12 l', stands(0.12, 'l')],
    ['0,12 l', stands(0.12, 'l')],
    ['120 ml in the tray', stands(120, 'ml')],
    ['tray at 120', stands(120)],
    ['one hundred twenty', stands(120)],
    ['now 120', stands(120)],
    ['0', stands(0)],
    ['+30', added(30)],
    ['+ 30 ml', added(30, 'ml')],
    ['plus 30', added(30)],
    ['30 more', added(30)],
    ['another 30 ml', added(30, 'ml')],
    ['thirty more', added(30)],
    ['0.03 l more', added(0.03, 'l')],
    ['emptied at 200', emptied(200)],
    ['emptied 200', emptied(200)],
    ['Emptied at 0.2 l', emptied(0.2, 'l')],
    ['tray emptied, was 200', emptied(200)],
    ['emptied it, it was at 200 ml', emptied(200, 'ml')],
    ['emptied the tray at two hundred', emptied(200)],
    ['emptied when it was 200', emptied(200)],
    ['emptied', EMPTIED],
    ['tray emptied', EMPTIED],
    ['emptied the tray', EMPTIED],
    ['empty', EMPTIED],
    ['emptied unread', UNREAD],
    ['emptied, not read', UNREAD],
    ['emptied it, nobody read it', UNREAD],
    ['emptied, dont know what was in it', UNREAD],
    ['dry', NOTHING],
    ['Dry.', NOTHING],
    ['tray dry', NOTHING],
    ['nothing more', NOTHING],
    ['no more', NOTHING],
    ['it has stopped', NOTHING],
    ['still running', RUNNING],
    ['its leaking', RUNNING],
    ['not running any more', RUNNING],
    ['not emptied yet', RUNNING],
  ])('"%s" is heard as it is meant', (said, heard) => {
    expect(heardAt('tray', said)).toEqual(heard);
  });

  test.each([
    'dry?',
    'emptied?',
    'is it dry',
    'emptied at 200 or 300',
    '120 then 140',
    'emptied at 200, now 30',
  ])('"%s" is no reading', (said) => {
    expect(heardAt('tray', said).heard).not.toBe('readings');
    expect(heardAt('tray', said)).not.toMatchObject({ says: { number: { bound: null } } });
    expect(heardAt('tray', said)).not.toEqual(NOTHING);
  });

  test.each([
    'more than 30',
    'over 100',
    'no more than 30',
    'not dry',
    'hardly dry',
    '12O',
    '5 oz',
    '3 pints',
  ])('"%s" is asked back or taken as no more than it says', (said) => {
    const heard = heardAt('tray', said);
    const bare = heard.heard === 'readings' && heard.numbers.every((one) => one.bound === null);
    expect(bare).toBe(false);
    expect(heard.heard).not.toBe('sight');
  });

  test.each<[string, Heard]>([
    ['5 us fl oz', stands(5, 'fl oz')],
    ['2 imperial pints', stands(2, 'imp pint')],
    ['1 us pint', stands(1, 'pint')],
  ])('"%s" is one measure and no other', (said, heard) => {
    expect(heardAt('tray', said)).toEqual(heard);
  });

  test.each([
    ["it won't stop", 'stop-maybe'],
    ['coolant wont stop', 'stop-maybe'],
    ['stop', 'stop'],
    ['problem, hose torn', 'no'],
    ['ok', 'yes'],
    ['pause', 'word'],
    ['note wiped the floor', 'word'],
  ])('"%s" is what it is everywhere', (said, heard) => {
    expect(heardAt('tray', said).heard).toBe(heard);
  });
});

describe('at a tank or a gauge that is watched', () => {
  test.each<[At, string, Heard]>([
    ['tank', '85', stands(85)],
    ['tank', 'level at 85 mm', stands(85, 'mm')],
    ['tank', 'no bubbles', sight({ is: 'bubbles', seen: false })],
    ['tank', 'No more bubbles', sight({ is: 'bubbles', seen: false })],
    ['tank', 'bubbles gone', sight({ is: 'bubbles', seen: false })],
    ['tank', 'bubbles', sight({ is: 'bubbles', seen: true })],
    ['tank', 'still bubbling', sight({ is: 'bubbles', seen: true })],
    ['tank', '85, no bubbles', sight({ is: 'stands', number: number(85), bubbles: false })],
    ['tank', 'no bubbles, 85 mm', sight({ is: 'stands', number: number(85, 'mm'), bubbles: false })],
    ['tank', '85 mm and bubbles', sight({ is: 'stands', number: number(85, 'mm'), bubbles: true })],
    ['gauge', '-850 mbar', stands(-850, 'mbar')],
    ['gauge', 'minus 850', stands(-850)],
  ])('%s: "%s" is heard as it is meant', (at, said, heard) => {
    expect(heardAt(at, said)).toEqual(heard);
  });

  test.each(['bubbles?', 'maybe no bubbles', 'almost no bubbles', 'none'])(
    '"%s" does not say that there are no bubbles',
    (said) => expect(heardAt('tank', said)).not.toMatchObject({ says: { seen: false } }),
  );
});
