import { expect, test } from 'vitest';
import { SlackShop } from './shop.js';

test.each(['process', 'socket', 'http'] as const)('a whole job is carried through (%s)', async (mode) => {
  const shop = await SlackShop.open(mode);
  await shop.say('mara', 'start disconnect-fuse DEMO-1');
  const turns = await shop.goOn(() => false);
  expect(shop.reports).toEqual([]);
  expect(turns).toBeGreaterThan(100);
  await shop.close();
});
