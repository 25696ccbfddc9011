import { expect, test } from 'vitest';
import { tryOut } from '../channel/bench.js';
import { Floor } from './floor.js';

const flows = await tryOut();

const AWAY = /I was away/;

test.each([
  [4, 0],
  [6, 1],
  [14 * 60, 1],
])('%i minutes without the program are told in each open job in %i lines', async (minutes, lines) => {
  const floor = await Floor.open({ flows });
  await floor.say('mara', 'start try-out DEMO-1');
  await floor.say('jory', 'start try-out DEMO-2', { bay: '2' });
  await floor.later(0);
  await floor.desk.close();
  const before = floor.posts().length;
  floor.clock.moveTo(floor.clock.now() + minutes * 60_000);
  await floor.start();
  await floor.crash();
  for (const bay of ['1', '2'])
    expect(floor.posts(bay).filter((post) => AWAY.test(post))).toHaveLength(lines);
  expect(floor.posts().length).toBe(before + lines);
});

test('what fell due while the program was away is told after the line, in the order in which it fell due', async () => {
  const floor = await Floor.open({ flows });
  await floor.say('mara', 'start try-out DEMO-1');
  await floor.say('mara', 'ok');
  await floor.desk.close();
  floor.clock.moveTo(floor.clock.now() + 30 * 60_000);
  await floor.start();
  const posts = floor.posts();
  expect(posts.at(-2)).toMatch(AWAY);
  expect(posts.at(-1)).toContain('Name of the lamp');
});

test('a restart forgets nobody: who was heard last in another bay still is, in the order of the clock', async () => {
  const run = async (restarts: boolean) => {
    const floor = await Floor.open({ flows });
    const again = async () => (restarts ? floor.restart() : undefined);
    await floor.say('mara', 'start try-out DEMO-1');
    await floor.say('mara', 'start try-out DEMO-2', { bay: '2' });
    await floor.later(1);
    await floor.say('mara', 'note back in bay 1');
    await again();
    await floor.say('mara', 'note still in bay 1');
    await floor.say('mara', 'ok');
    await again();
    await floor.say('mara', 'ok', { bay: '2' });
    await floor.desk.close();
    return floor.journal().replace(/"hash":"\w+"/g, '');
  };
  expect(await run(true)).toBe(await run(false));
});
