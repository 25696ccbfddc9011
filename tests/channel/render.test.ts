import { describe, expect, test } from 'vitest';
import { foldText, renderPost } from '../../src/channel/script/render.js';
import { openRoom } from '../../src/channel/script/room.js';
import { printThread } from '../../src/channel/script/transcript.js';
import { outPost, post } from './post.js';

const ZONE = 'Europe/Dublin';
/** Tuesday 3 March 2026, 08:20 in Dublin. */
const TUESDAY = Date.UTC(2026, 2, 3, 8, 20);
const SUMMER = Date.UTC(2034, 6, 1, 23, 30);

describe('a post as lines of text', () => {
  test('instants are printed as the clock of the workshop shows them', () => {
    const said = post({
      lines: [
        ['Drained at ', { instant: TUESDAY, as: 'time' }, '.'],
        [{ instant: TUESDAY, as: 'day-time' }],
        ['Due ', { instant: SUMMER, as: 'date' }],
      ],
    });
    expect(renderPost(said, ZONE)).toEqual(['Drained at 08:20.', 'Tue 3 Mar 08:20', 'Due 2034-07-02']);
    expect(renderPost(said, 'America/New_York')).toEqual([
      'Drained at 03:20.',
      'Tue 3 Mar 03:20',
      'Due 2034-07-01',
    ]);
  });

  test('buttons stand in the last line, in brackets', () => {
    const buttons = ['OK', 'Problem'].map((label) => ({ label, says: label.toLowerCase() }));
    expect(renderPost(post({ lines: [['Cover off?']], buttons }), ZONE)).toEqual([
      'Cover off?',
      '[OK] [Problem]',
    ]);
  });

  test('a post that may stand there twice says so in its first line', () => {
    expect(renderPost(post({ lines: [['Cover off?'], ['By two.']] }), ZONE, true)).toEqual([
      'Cover off? (again)',
      'By two.',
    ]);
  });
});

test('checks fold case, blanks, ends of lines and typographic quotes', () => {
  expect(foldText('  I keep\n “0.3”,  it’s  DEAD ')).toBe('i keep "0.3", it\'s dead');
});

test('a thread is printed with the clock in its margin and long posts below their first line', () => {
  const room = openRoom();
  room.say('1', 'jory', '0 0 0', TUESDAY);
  room.post(outPost({ bay: '1', lines: [['Dead on the car side.'], ['Pack inside still live.']] }), TUESDAY);
  room.note('restart', TUESDAY + 60_000);
  room.post(outPost({ bay: '1', to: 'foreman', lines: [['Bay 1: hold.']] }), TUESDAY + 24 * 3600_000);
  room.say('1', 'jory', 'where', TUESDAY + 24 * 3600_000 + 60_000);
  const look = { zone: ZONE, width: 6, label: (thread: string) => (thread === '1' ? 'Bay 1' : thread) };
  expect(printThread(room.entries, look, null)).toEqual([
    '-- Bay 1, Tue 3 Mar 2026 --',
    '08:20 jory   0 0 0',
    '08:20 warden Dead on the car side.',
    '             Pack inside still live.',
    '08:21 --     restart',
    '-- foreman, Wed 4 Mar 2026 --',
    '08:20 warden Bay 1: hold.',
    '-- Bay 1 --',
    '08:21 jory   where',
  ]);
  expect(printThread(room.entries, look, 'foreman').at(-1)).toBe('08:20 warden Bay 1: hold.');
  expect(printThread(room.entries, look, 'foreman').join()).not.toContain('0 0 0');
});
