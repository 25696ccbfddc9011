import { describe, expect, test } from 'vitest';
import type { Files } from '../../src/shop/files.js';
import { tryOut } from '../channel/bench.js';
import { RegisterFloor } from './register-floor.js';

const flows = await tryOut();
const TESTED = 'gloves G3 tested 2026-02-27';

const testedOf = (floor: RegisterFloor) => floor.register.gear.get('G3')?.tested;
const told = (floor: RegisterFloor, start: string) =>
  floor.posts().filter((post) => post.startsWith(start)).length;

describe('a change that was agreed in words', () => {
  test('stands in its document and in force as soon as it is answered', async () => {
    const floor = await RegisterFloor.open(flows);
    await floor.say('orla', TESTED);
    expect(testedOf(floor)).toBe('2025-08-11');
    await floor.say('orla', 'yes');
    expect(testedOf(floor)).toBe('2026-02-27');
    expect(await floor.text('gear.json')).toContain('2026-02-27');
  });

  test('is in the journal with what was, what is, who and when', async () => {
    const floor = await RegisterFloor.open(flows);
    await floor.say('orla', TESTED);
    await floor.say('orla', 'yes');
    const journal =
      [...floor.disk.files].find(([path]) => path.startsWith('shop/'))?.[1].bytes.toString() ?? '';
    const line = JSON.parse(journal.split('\n').find((one) => one.includes('"is":"changed"')) ?? '{}');
    expect(line).toMatchObject({
      at: floor.clock.now(),
      by: 'orla',
      events: [{ answer: { changes: [{ file: 'gear.json', before: '2025-08-11', after: '2026-02-27' }] } }],
    });
  });

  test('is made once when the power goes at any moment of the yes, and told once', async () => {
    let cut = 0;
    for (let at = 0; ; at++) {
      const floor = await RegisterFloor.open(flows);
      await floor.say('orla', TESTED);
      const yes = floor.input('orla', 'yes');
      floor.disk.loseAt(at);
      const taken = await floor.send(yes).then(
        () => true,
        () => false,
      );
      await floor.crash();
      // What was not acknowledged is sent again by its channel.
      if (!taken) await floor.send(yes);
      expect([at, testedOf(floor)]).toEqual([at, '2026-02-27']);
      expect([at, await floor.text('gear.json')]).toEqual([at, expect.stringContaining('2026-02-27')]);
      expect([at, floor.agreed]).toEqual([at, 1]);
      expect([at, told(floor, 'Done.') + told(floor, 'Kept, but')]).toEqual([at, 1]);
      expect([at, told(floor, 'In the register now')]).not.toEqual([at, 2]);
      if (told(floor, 'Kept, but') === 1) expect([at, told(floor, 'In the register now')]).toEqual([at, 1]);
      await floor.tick();
      expect([at, told(floor, 'Edited')]).toEqual([at, 0]);
      // Edited back by hand, it is not made a second time.
      await floor.edit('gear.json', '2026-02-27', '2025-08-11');
      await floor.crash();
      expect([at, testedOf(floor)]).toEqual([at, '2025-08-11']);
      if (taken && at > 5) break;
      cut++;
    }
    expect(cut).toBeGreaterThan(8);
  });

  test('waits for a yes over a power cut', async () => {
    const floor = await RegisterFloor.open(flows);
    await floor.say('orla', TESTED);
    await floor.crash();
    await floor.say('orla', 'yes');
    expect(testedOf(floor)).toBe('2026-02-27');
  });

  test('that its document does not take is made as soon as it does, and told', async () => {
    let full = false;
    const floor = await RegisterFloor.open(flows, (files) => ({
      ...files,
      write: async (path, text) => {
        if (full) throw new Error('no space left');
        await files.write(path, text);
      },
    }));
    await floor.say('orla', TESTED);
    full = true;
    await floor.say('orla', 'yes');
    expect(floor.posts().at(-1)).toContain('not in the register yet');
    await floor.say('orla', 'gear G5 back');
    expect(floor.posts().at(-1)).toContain('A change made before is not in the register yet');
    full = false;
    await floor.tick();
    expect(floor.posts().at(-1)).toContain('In the register now');
    expect(testedOf(floor)).toBe('2026-02-27');
  });
});

describe('a yes', () => {
  test('said before the echo stood there is asked back', async () => {
    const floor = await RegisterFloor.open(flows);
    const early = floor.input('orla', 'yes');
    await floor.say('orla', TESTED);
    await floor.send(early);
    expect(floor.posts().at(-1)).toContain('before this stood here');
    expect(testedOf(floor)).toBe('2025-08-11');
    await floor.say('orla', 'yes');
    expect(testedOf(floor)).toBe('2026-02-27');
  });

  test('to what was edited by hand since is asked back with what stands there now', async () => {
    const floor = await RegisterFloor.open(flows);
    await floor.say('orla', TESTED);
    await floor.edit('gear.json', '2025-08-11', '2026-02-01');
    await floor.tick();
    await floor.say('orla', 'yes');
    expect(floor.posts().at(-1)).toContain('before 2026-02-01');
    expect(testedOf(floor)).toBe('2026-02-01');
  });
});

describe('an edit by hand', () => {
  test('is taken up and told in one line', async () => {
    const floor = await RegisterFloor.open(flows);
    await floor.edit('gear.json', '2025-08-11', '2026-02-01');
    await floor.tick();
    await floor.tick();
    expect(testedOf(floor)).toBe('2026-02-01');
    expect(floor.posts()).toEqual([
      'Edited by hand and taken over: G3 tested: 2026-02-01, before 2025-08-11.',
    ]);
  });

  test('with a fault is refused with file, line and remedy, once, while the register before stays in force', async () => {
    const floor = await RegisterFloor.open(flows);
    await floor.edit('gear.json', '2025-08-11', '2025-02-30');
    await floor.tick();
    await floor.tick();
    expect(floor.posts().length).toBe(1);
    expect(floor.posts()[0]).toMatch(/NOT taken over[\s\S]*gear\.json:\d+:\d+: .* Write a day that exists/);
    expect(testedOf(floor)).toBe('2025-08-11');
    await floor.edit('gear.json', '2025-02-30', '2026-02-20');
    await floor.tick();
    expect(testedOf(floor)).toBe('2026-02-20');
    expect(floor.posts().at(-1)).toContain('2026-02-20');
  });

  test('with a fault keeps a change in words out, with file and line, and the change can be said again after it', async () => {
    const floor = await RegisterFloor.open(flows);
    await floor.edit('people.json', '"2026-11-30"', '"soon"');
    await floor.say('orla', TESTED);
    expect(floor.posts().at(-1)).toMatch(/people\.json:\d+/);
    await floor.edit('people.json', '"soon"', '"2026-11-30"');
    await floor.say('orla', TESTED);
    await floor.say('orla', 'yes');
    expect(testedOf(floor)).toBe('2026-02-27');
  });

  test('made while the program was away is told at the start, and a change in words is not taken for one', async () => {
    const floor = await RegisterFloor.open(flows);
    await floor.say('orla', TESTED);
    await floor.say('orla', 'yes');
    await floor.edit('people.json', '2026-11-30', '2027-11-30');
    await floor.crash();
    await floor.tick();
    expect(floor.posts().filter((post) => post.startsWith('Edited'))).toEqual([
      'Edited by hand and taken over: mara levels: 3S until 2027-11-30, before 3S until 2026-11-30.',
    ]);
  });

  test.each(['before', 'after'] as const)(
    'saved just %s the program has looked once more is kept, and so is the change in words',
    async (moment) => {
      let hand: (() => Promise<void>) | null = null;
      const steal = async () => {
        const edit = hand;
        hand = null;
        await edit?.();
      };
      const floor = await RegisterFloor.open(flows, (files: Files) => ({
        ...files,
        write: async (path, text) => {
          // The new text is written after the last look at the old one; its name is taken later.
          if (moment === 'after' && path.endsWith('.gear.json.new')) await steal();
          await files.write(path, text);
        },
        read: async (path) => {
          const text = await files.read(path);
          if (moment === 'before' && path.endsWith('/gear.json')) await steal();
          return text;
        },
      }));
      await floor.say('orla', TESTED);
      hand = () => floor.edit('gear.json', 'leather torn, on order', 'leather torn');
      await floor.say('orla', 'yes');
      await floor.tick();
      expect(testedOf(floor)).toBe('2026-02-27');
      expect(floor.register.gear.get('G5')?.out).toBe('leather torn');
      expect(await floor.text('gear.json')).toContain('"leather torn"');
      expect(floor.posts().filter((post) => post.includes('leather torn')).length).toBe(1);
    },
  );

  test('of the very place that was agreed, while the power was off, stands, and the foreman is told', async () => {
    for (let at = 0; at < 40; at++) {
      const floor = await RegisterFloor.open(flows);
      await floor.say('orla', TESTED);
      floor.disk.loseAt(at);
      await floor.say('orla', 'yes').catch(() => undefined);
      floor.disk.crash();
      if (floor.agreed === 0 || !(await floor.text('gear.json')).includes('2025-08-11')) continue;
      await floor.edit('gear.json', '2025-08-11', '2026-02-11');
      await floor.start();
      await floor.tick();
      expect(testedOf(floor)).toBe('2026-02-11');
      expect(floor.posts().filter((post) => post.startsWith('Not changed')).length).toBe(1);
      await floor.crash();
      await floor.tick();
      expect(testedOf(floor)).toBe('2026-02-11');
      expect(floor.posts().filter((post) => post.startsWith('Not changed')).length).toBe(1);
      return;
    }
    throw new Error('the power never went between the journal and the document');
  });
});
