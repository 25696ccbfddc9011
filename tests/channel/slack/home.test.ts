import { expect, test } from 'vitest';
import { homeView } from '../../../src/channel/slack/home.js';
import { LIMITS } from '../../../src/channel/slack/limits.js';
import type { BoardRow, Wait } from '../../../src/record/board.js';

const NOON = Date.UTC(2026, 2, 2, 12);

const row = (more: Partial<BoardRow>): BoardRow => ({
  ...{ bay: '1', label: 'Bay 1', attention: 0, step: ['Cover on'], asked: null, holder: 'Mara Tillet' },
  ...{ standby: null, since: NOON, proved: [], notProved: [], locks: [], waits: [], open: [], why: null },
  job: { id: 'QM-2603-001', number: '7', car: 'DEMO-1', flow: 'disconnect-fuse', title: 'Change the fuse' },
  ...more,
});

const words = (...rows: readonly BoardRow[]) =>
  homeView({ at: NOON, rows }, 'Etc/UTC')
    .blocks.flatMap((block) => ('text' in block ? [block.text.text] : []))
    .join('\n');
const wait = (more: Partial<Wait>): Wait => ({
  ...{ label: 'sealant', until: NOON, deadline: false, firm: true },
  ...more,
});

test('a wait ends at its hour or not before, a deadline at its hour or at the latest then', () => {
  const told = (more: Partial<Wait>) => words(row({ waits: [wait(more)] }));
  expect(told({})).toContain('Waits: sealant, until ');
  expect(told({ firm: false })).toContain('Waits: sealant, not before ');
  expect(told({ deadline: true })).toContain('Runs out: sealant, at ');
  expect(told({ deadline: true, firm: false })).toContain('Runs out: sealant, at the latest ');
  expect(told({ until: null })).toContain('nobody can say yet');
});

test('what somebody wrote into a job cannot call people or make links on the board', () => {
  const told = words(row({ holder: '<!channel> <http://x|here>' }));
  expect(told).toContain('&lt;!channel&gt;');
  expect(told).not.toContain('<!channel>');
});

test('more bays than a home can hold end with a line that says where the rest is', () => {
  const rows = Array.from({ length: 80 }, (_, at) => row({ bay: String(at), label: `Bay ${at}` }));
  const { blocks } = homeView({ at: NOON, rows }, 'Etc/UTC');
  expect(blocks.length).toBeLessThanOrEqual(LIMITS.homeBlocks);
  expect(JSON.stringify(blocks.at(-1))).toContain('say LIST in a bay');
});
