import { afterAll, beforeAll, expect, test } from 'vitest';
import { wholeJob } from '../../desk/crew.js';
import { Floor, flowTexts, provedFlows } from '../../desk/floor.js';
import { Shop } from './shop.js';

let shop: Shop;
beforeAll(async () => {
  shop = await Shop.start(await provedFlows(flowTexts()));
});
afterAll(() => shop.end());

test('the main job is done by a crew on their phones, refused as little as at the desk alone, and ends with its record', async () => {
  const mara = await shop.phone('mara');
  await mara.say('start disconnect-fuse DEMO-1');
  const inputs = await shop.until(() => false);
  expect(inputs).toBeGreaterThan(60);
  expect(shop.desk.jobOf('1')).toBeNull();
  expect(shop.desk.lastJobOf('1')?.mode).toBe('done');
  const live = await mara.listen();
  await live.caughtUp();
  const posts = live.of<{ kind: string; place: string; buttons: unknown[]; thread: string }>('post');
  expect(posts.filter(({ thread }) => thread === 'bay').at(-1)).toMatchObject({ kind: 'summary' });
  // What was asked is over now, all of it.
  const open = posts.filter(({ buttons }) => buttons.length > 0);
  const gone = new Set(live.of<{ place: string }>('gone').map(({ place }) => place));
  expect(open.length).toBeGreaterThan(5);
  expect(open.filter(({ place }) => !gone.has(place))).toEqual([]);
  live.close();

  const alone = await Floor.open({ flows: await provedFlows(flowTexts()) });
  await wholeJob(alone, { flow: 'disconnect-fuse', car: 'DEMO-1' });
  expect(shop.desk.lastJobOf('1')?.refusedAt).toEqual(alone.desk.lastJobOf('1')?.refusedAt);

  const { pictures } = (await mara.ask('/pictures/1')).json as { pictures: { id: string; alt: string }[] };
  expect(pictures.map(({ id }) => id)).toEqual(expect.arrayContaining(['cure', 'volts']));
  for (const { alt } of pictures) expect(alt.length).toBeGreaterThan(30);
});
