import { describe, expect, test } from 'vitest';
import { type DayPost, type DoneDay, dayPostsDue, nextDayPost } from '../../src/desk/day-due.js';
import type { Opening } from '../../src/shop/hours.js';

const HOUR = 3_600_000;
const MINUTE = 60_000;

const day = (from: string, to: string) => [{ from, to }];

function opening(zone: string, from: string, to: string, closed: readonly string[] = []): Opening {
  const shifts = day(from, to);
  const hours = {
    monday: shifts,
    tuesday: shifts,
    wednesday: shifts,
    thursday: shifts,
    friday: shifts,
    saturday: shifts,
    sunday: shifts,
  };
  return { zone, hours, closed };
}

const weekdays = (zone: string, from: string, to: string, closed: readonly string[] = []): Opening => {
  const every = opening(zone, from, to, closed);
  return { ...every, hours: { ...every.hours, saturday: [], sunday: [] } };
};

type Wall = { readonly date: string; readonly time: string };
const walls = new Map<string, (at: number) => Wall>();

/** The clock on the wall of a zone, by the platform's own calendar: nothing of ours and nothing of the library's. */
function wallOf(zone: string): (at: number) => Wall {
  const opened = walls.get(zone);
  if (opened !== undefined) return opened;
  const format = new Intl.DateTimeFormat('sv-SE', {
    timeZone: zone,
    dateStyle: 'short',
    timeStyle: 'short',
  });
  const known = new Map<number, Wall>();
  const wall = (at: number): Wall => {
    const before = known.get(at);
    if (before !== undefined) return before;
    const [date = '', time = ''] = format.format(at).split(' ');
    known.set(at, { date, time });
    return { date, time };
  };
  walls.set(zone, wall);
  return wall;
}
const wall = (zone: string, at: number): Wall => wallOf(zone)(at);

type Fired = DoneDay & { readonly at: number; readonly stands: number; readonly missed: readonly string[] };

/** Lives through instants as the desk does: what is due is made, and from then on done. */
function live(
  shop: Opening,
  instants: readonly number[],
  since: number,
  before: readonly DoneDay[] = [],
): Fired[] {
  let done = [...before];
  const fired: Fired[] = [];
  for (const now of instants) {
    const due = dayPostsDue(now, shop, done, since);
    done = done.filter((one) => !due.void.includes(one));
    for (const { post, date, at, missed } of due.posts) {
      fired.push({ post, date, at: now, stands: at, missed });
      done.push({ post, date });
    }
  }
  return fired;
}

const every = (from: number, to: number, step: number) =>
  Array.from({ length: Math.floor((to - from) / step) + 1 }, (_, at) => from + at * step);

describe('over a change of the clocks', () => {
  const ZONES = [
    // Both changes of each zone lie within these days.
    ['Europe/Dublin', Date.UTC(2026, 2, 27, 12), Date.UTC(2026, 2, 30, 12)],
    ['Europe/Dublin', Date.UTC(2026, 9, 23, 12), Date.UTC(2026, 9, 26, 12)],
    ['America/New_York', Date.UTC(2026, 2, 6, 12), Date.UTC(2026, 2, 9, 12)],
    ['America/New_York', Date.UTC(2026, 9, 30, 12), Date.UTC(2026, 10, 2, 12)],
    ['Australia/Lord_Howe', Date.UTC(2026, 3, 3, 0), Date.UTC(2026, 3, 6, 0)],
    ['Australia/Lord_Howe', Date.UTC(2026, 9, 2, 0), Date.UTC(2026, 9, 5, 0)],
  ] as const;
  const HOURS = [
    ['07:00', '23:00'],
    ['06:30', '15:30'],
    // Opens and closes within the hour that is skipped or comes twice.
    ['01:30', '02:15'],
    // A night shift: it closes on the day after, in that hour.
    ['22:00', '02:30'],
  ] as const;

  test.each(
    ZONES.flatMap(([zone, from, to]) =>
      HOURS.map(([opens, closes]) => [zone, opens, closes, from, to] as const),
    ),
  )(
    '%s, open %s to %s: each post once a day, at the hour that the wall shows',
    (zone, opens, closes, from, to) => {
      const minutes = every(from, to, MINUTE);
      const fired = live(opening(zone, opens, closes), minutes, from);
      for (const post of ['day', 'morning'] as const) {
        const own = fired.filter((one) => one.post === post);
        expect(own.length).toBeGreaterThan(1);
        expect(new Set(own.map(({ date }) => date)).size).toBe(own.length);
        const hour = post === 'day' ? closes : opens;
        const next = post === 'day' && closes <= opens;
        for (const one of own) {
          const on = next ? wall(zone, Date.parse(`${one.date}T12:00:00Z`) + 24 * HOUR).date : one.date;
          // The first minute whose wall shows that day and hour, or, where the clocks skip it, a later one.
          const first = minutes.find((at) => {
            const { date, time } = wall(zone, at);
            return date === on && time >= hour;
          });
          const shown = wall(zone, one.at);
          expect(shown.date).toBe(on);
          // A skipped half hour is made good by going on as far: 02:15 becomes 03:15 where 02:00 to 03:00 is not there.
          if (shown.time === hour) expect(one.at).toBe(first);
          else {
            expect(wall(zone, (first ?? 0) - MINUTE).time < hour).toBe(true);
            expect(one.at - (first ?? 0)).toBeLessThan(HOUR);
          }
        }
      }
    },
  );

  test('the next hour that is promised is the next one at which something is due', () => {
    const shop = weekdays('Europe/Dublin', '07:00', '23:00', ['2026-03-17']);
    for (const now of every(Date.UTC(2026, 2, 12), Date.UTC(2026, 3, 2), 97 * MINUTE)) {
      const next = nextDayPost(now, shop) ?? 0;
      expect(next).toBeGreaterThan(now);
      const posts = (at: number) =>
        dayPostsDue(at, shop, [], now).posts.map(({ date, post }) => `${post} ${date}`);
      expect(posts(next - 1)).toEqual([]);
      expect(posts(next)).toHaveLength(1);
    }
  });
});

describe('a working day', () => {
  const shop = weekdays('Etc/UTC', '07:00', '16:00', ['2026-03-17']);
  const monday = Date.UTC(2026, 2, 16);
  const posts = (fired: readonly Fired[]) => fired.map(({ post, date }) => `${post} ${date}`);

  test('has its posts; a day on which nobody works has none', () => {
    const fired = live(shop, every(monday, monday + 8 * 24 * HOUR, 10 * MINUTE), monday);
    expect(posts(fired).filter((one) => one.startsWith('day'))).toEqual([
      'day 2026-03-16',
      'day 2026-03-18',
      'day 2026-03-19',
      'day 2026-03-20',
      'day 2026-03-23',
    ]);
  });

  test('is told late with the hour it stands for, where the computer slept through it', () => {
    const [late] = live(shop, [monday + 15 * HOUR, monday + 20 * HOUR], monday + 10 * HOUR);
    expect(late).toMatchObject({ post: 'day', date: '2026-03-16', stands: monday + 16 * HOUR, missed: [] });
    const due = dayPostsDue(monday + 20 * HOUR, shop, [], monday).posts.find(({ post }) => post === 'day');
    expect(due?.late).toBe(true);
    expect(dayPostsDue(monday + 16 * HOUR, shop, [], monday).posts[0]?.late).toBe(false);
  });

  test('is the only one told of many that were slept through, and the others are named', () => {
    const before: readonly DoneDay[] = [{ post: 'day', date: '2026-03-16' }];
    const fired = live(shop, [monday + 8 * 24 * HOUR], monday, before);
    const [day] = fired.filter(({ post }) => post === 'day');
    expect(day).toMatchObject({ date: '2026-03-23', missed: ['2026-03-18', '2026-03-19', '2026-03-20'] });
    expect(fired.filter(({ post }) => post === 'day')).toHaveLength(1);
  });

  test('gets no morning post once it is over', () => {
    const done: readonly DoneDay[] = [{ post: 'morning', date: '2026-03-13' }];
    expect(posts(live(shop, [monday + 15 * HOUR], monday, done))).toContain('morning 2026-03-16');
    expect(posts(live(shop, [monday + 17 * HOUR], monday, done))).not.toContain('morning 2026-03-16');
  });

  test('before the first start is nobody’s: nothing is told of it', () => {
    expect(live(shop, [monday + 8 * HOUR], monday + 8 * HOUR)).toEqual([]);
  });
});

describe('a clock that is corrected', () => {
  const shop = weekdays('Etc/UTC', '07:00', '16:00');
  const tuesday = Date.UTC(2026, 2, 17);
  const closing = tuesday + 16 * HOUR;
  const dates = (fired: readonly Fired[], post: DayPost) =>
    fired.filter((one) => one.post === post).map(({ date }) => date);

  test.each([1, 5, 45, 90, 600])('back by %i minutes after closing makes no second post', (minutes) => {
    const back = closing + MINUTE - minutes * MINUTE;
    const instants = [
      ...every(closing - HOUR, closing + MINUTE, MINUTE),
      ...every(back, closing + HOUR, MINUTE),
    ];
    expect(dates(live(shop, instants, closing - 2 * HOUR), 'day')).toEqual(['2026-03-17']);
  });

  test.each([1, 30, 300])('forth by %i minutes makes the post once', (minutes) => {
    const forth = closing - 2 * MINUTE + minutes * MINUTE;
    const instants = [
      ...every(closing - HOUR, closing - 2 * MINUTE, MINUTE),
      ...every(forth, forth + 12 * HOUR, MINUTE),
    ];
    expect(dates(live(shop, instants, closing - 2 * HOUR), 'day')).toEqual(['2026-03-17']);
  });

  test('by whole days forth and back again loses no real day', () => {
    const noon = tuesday + 12 * HOUR;
    const instants = [
      noon,
      // Somebody sets the clock two days ahead, and back after an hour.
      ...every(noon + 48 * HOUR, noon + 53 * HOUR, MINUTE),
      ...every(noon + 5 * HOUR, noon + 4 * 24 * HOUR, MINUTE),
    ];
    const fired = live(shop, instants, noon - HOUR);
    // Wednesday's morning and Thursday's evening came while the clock was wrong; the real ones come all the same.
    expect(
      fired
        .filter(({ at }) => at >= noon + 5 * HOUR && at < noon + 48 * HOUR)
        .map(({ post, date }) => `${post} ${date}`),
    ).toEqual(['day 2026-03-17', 'morning 2026-03-18', 'day 2026-03-18', 'morning 2026-03-19']);
    expect(dates(fired, 'day').filter((date) => date === '2026-03-19')).toHaveLength(2);
  });
});
