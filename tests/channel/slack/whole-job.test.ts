import { afterEach, beforeAll, describe, expect, test } from 'vitest';
import { SlackShop, userOf } from './shop.js';
import { BOT } from './standin/web-api.js';

let shop: SlackShop;
afterEach(() => shop.close());

/** What a job comes to, whatever befell the line: nothing in it is a time. */
function cameTo(of: SlackShop) {
  const job = of.desk.lastJobOf('1');
  if (job === null) throw new Error('there was no job');
  const { mode, closed, fields, due, gear, choices } = job;
  const kinds = due.map((one) => ({ ...one, at: 0 })).map((one) => Object.keys(one).sort());
  const facts = Object.entries(job.facts).map(([fact, { value }]) => [fact, value]);
  return { mode, closed, fields, due: kinds, gear: Object.keys(gear), choices, facts };
}

const START = 'start disconnect-fuse DEMO-3';

let calm: ReturnType<typeof cameTo>;
beforeAll(async () => {
  const undisturbed = await SlackShop.open('process');
  await undisturbed.say('mara', START);
  await undisturbed.goOn(() => false);
  calm = cameTo(undisturbed);
  await undisturbed.close();
});

/** Every post of ours stands once: no two carry the same mark. */
function marksOf(of: SlackShop): string[] {
  return of.standIn.web.messages.all.flatMap(({ bot_id, metadata }) =>
    bot_id === BOT.bot && metadata !== undefined ? [String(metadata.event_payload.key)] : [],
  );
}

describe.each(['socket', 'http'] as const)(
  'the whole main job, the pack out and in again, in Slack (%s)',
  (mode) => {
    test('with a kill and two hours without a line in the middle comes to the same as without', async () => {
      shop = await SlackShop.open(mode);
      await shop.say('mara', START);
      await shop.goOn(
        (job) => job.asked?.step === 'disconnect-fuse/fuse-out' || job.closed['make-safe/lv-off'] === true,
      );

      // A line on its way out, and the program dies; nobody has acknowledged.
      const waiting = shop.said('mara', 'note the old fuse is scorched');
      await shop.kill();
      shop.clock.moveTo(shop.clock.now() + 60_000);
      await shop.start();
      await shop.push(waiting);
      expect(
        shop.thread().filter(({ user, text }) => user === userOf('mara') && text.includes('scorched')),
      ).toHaveLength(1);

      // With the pack open on its table.
      await shop.goOn(({ closed }) => closed['lid-off'] === true);
      expect(shop.desk.jobOf('1')).not.toBeNull();
      const before = shop.posts().length;
      shop.standIn.cutOff();
      // For the bot it may be hours: what is said to the foreman and the bay by time alone waits.
      await shop.later(1);
      const missed = shop.said('mara', 'note said while nobody listened');
      await shop.later(119);
      expect(shop.posts().length).toBe(before);
      shop.standIn.mend();
      await shop.later(1);
      await shop.backAgain();
      await shop.later(1);
      await shop.later(1);
      expect(shop.posts().length).toBeGreaterThan(before);
      const journal = shop.journal();
      expect(journal).toContain('note the old fuse is scorched');
      expect(journal.split(`:${missed.ts}"`).length, 'caught up, and once').toBe(2);

      await shop.goOn(() => false);
      expect(cameTo(shop)).toEqual(calm);
      expect(calm).toMatchObject({ mode: 'done', closed: { 'pack-down/landed': true, 'lid-off': true } });
      const marks = marksOf(shop);
      expect(new Set(marks).size).toBe(marks.length);
      expect(shop.standIn.web.refused).toEqual([]);
      // Every post of ours under the head of the job, but for the foreman's.
      const root = shop.headOf('1')?.ts;
      const stray = shop.inChannel('CBAY1').filter(({ bot_id, ts }) => bot_id === BOT.bot && ts !== root);
      expect(stray).toEqual([]);
      // The record went up as a file.
      await shop.slack.tick();
      await shop.filesUp();
      const files = [...shop.standIn.web.files.values()].filter(({ name }) => name.endsWith('.txt'));
      expect(files).toHaveLength(1);
      expect(files[0]?.bytes.toString()).toContain('DEMO-3');
    });
  },
);
