import { expect, test } from 'vitest';
import { flowTexts, provedFlows } from './floor.js';
import { RegisterFloor } from './register-floor.js';

const flows = await provedFlows(flowTexts(new URL('../..', import.meta.url).pathname));

/** A wheel change up to the first corner that is tightened. */
const TO_FIRST_CORNER = [
  ...['start tyre-swap DEMO-3', 'summer, rack 14', '22 of 2023', 'sound', '6.5 mm', 'W3', 'found'],
  ...['done', 'done', 'done', 'CROCODILE', 'done', 'done', '20', 'good', 'done', 'done', 'MACARONI', 'done'],
];

const cyclesOf = (floor: RegisterFloor) => floor.register.gear.get('W3')?.cycles?.done;

test('five bolts in two passes are ten cycles, once, wherever in the completing the power goes', async () => {
  let cuts = 0;
  for (let at = 0; ; at++) {
    const floor = await RegisterFloor.open(flows);
    for (const words of TO_FIRST_CORNER) await floor.say('mara', words, '1');
    expect(floor.desk.jobOf('1')?.asked?.step).toBe('front-left');
    expect(cyclesOf(floor)).toBe(870);
    const done = floor.input('mara', 'done', '1');
    floor.disk.loseAt(at);
    const taken = await floor.send(done).then(
      () => true,
      () => false,
    );
    await floor.crash();
    if (!taken) await floor.send(done);
    expect([at, floor.desk.jobOf('1')?.asked?.step]).toEqual([at, 'rear-left']);
    expect([at, cyclesOf(floor)]).toEqual([at, 880]);
    await floor.crash();
    expect([at, cyclesOf(floor)]).toEqual([at, 880]);
    // Nobody is told of it as of an edit by hand.
    await floor.tick();
    expect(floor.posts().filter((post) => post.startsWith('Edited'))).toEqual([]);
    const text = await floor.text('gear.json');
    if (taken && at > 5 && text.includes('"done": 880')) {
      cuts = at;
      if (at > 40) break;
    }
  }
  expect(cuts).toBeGreaterThan(20);
}, 60_000);

test('what the register did not take is counted from the journal when the job is filed, in the order it was done', async () => {
  let full = false;
  const floor = await RegisterFloor.open(flows, (files) => ({
    ...files,
    write: async (path, text) => {
      if (full && path.endsWith('gear.json.new')) throw new Error('no space left');
      await files.write(path, text);
    },
  }));
  for (const words of TO_FIRST_CORNER) await floor.say('mara', words, '1');
  full = true;
  await floor.say('mara', 'done', '1');
  full = false;
  const corners = [
    'done',
    'done',
    'done',
    '20',
    'BLIZZARD',
    '270 kPa',
    '42 psi',
    '2.9 bar',
    '39 psi',
    'done',
    '4',
  ];
  for (const words of corners) await floor.say('mara', words, '1');
  expect(cyclesOf(floor)).toBe(870);
  const photo = { is: 'photo', sha256: 'a'.repeat(64), name: 'key.jpg', text: '' } as const;
  await floor.send({ ...floor.input('mara', '', '1'), marks: { attachment: true }, body: photo });
  for (const words of ['winter, rack 9', '132420']) await floor.say('mara', words, '1');
  await floor.tick();
  expect(floor.desk.jobOf('1')).toBeNull();
  expect(cyclesOf(floor)).toBe(910);
});
