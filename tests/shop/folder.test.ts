import * as fs from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Due } from '../../src/job/event.js';
import { WORKSHOP, writeDemo } from '../../src/shop/demo/workshop.js';
import { DocumentError, writeDocument } from '../../src/shop/document.js';
import { DOCUMENT_NAMES } from '../../src/shop/documents.js';
import { type Files, NODE_FILES } from '../../src/shop/files.js';
import { openRegister } from '../../src/shop/folder.js';
import { printJson } from '../../src/shop/json.js';
import { keepRegister } from '../../src/shop/keeper.js';
import { demoRegister, emptyFolder } from './folders.js';

const STEPS = ['write', 'keepAs', 'rename', 'syncFolder'] as const;

/** Files of a process that is killed just before, or right after, the given step of a write. */
function killedAt(step: (typeof STEPS)[number], when: 'before' | 'after'): Files {
  const killed = () => Promise.reject(new Error('killed'));
  const files: Files = { ...NODE_FILES };
  const kill = async (work: () => Promise<void>) => {
    if (when === 'after') await work();
    return killed();
  };
  switch (step) {
    case 'write':
      return { ...files, write: (path, text) => kill(() => NODE_FILES.write(path, text)) };
    case 'keepAs':
      return { ...files, keepAs: (path, second) => kill(() => NODE_FILES.keepAs(path, second)) };
    case 'rename':
      return { ...files, rename: (from, to) => kill(() => NODE_FILES.rename(from, to)) };
    case 'syncFolder':
      return { ...files, syncFolder: (folder) => kill(() => NODE_FILES.syncFolder(folder)) };
  }
}

describe('a write that is killed', () => {
  test.each(STEPS.flatMap((step) => (['before', 'after'] as const).map((when) => [when, step] as const)))(
    '%s %s leaves the old text or the new one',
    async (when, step) => {
      const path = join(emptyFolder(), 'x.json');
      await writeDocument(NODE_FILES, path, 'old\n');
      await expect(writeDocument(killedAt(step, when), path, 'new\n')).rejects.toThrow('killed');
      const renamed = step === 'syncFolder' || (step === 'rename' && when === 'after');
      expect(fs.readFileSync(path, 'utf8')).toBe(renamed ? 'new\n' : 'old\n');
      await writeDocument(NODE_FILES, path, 'newer\n');
      expect(fs.readFileSync(path, 'utf8')).toBe('newer\n');
    },
  );
});

describe('the demo workshop', () => {
  test('is written into an empty folder, once, and reads without a fault', async () => {
    const folder = join(emptyFolder(), 'register');
    expect(await writeDemo(folder)).toBe(true);
    expect(await writeDemo(folder)).toBe(false);
    expect((await openRegister(folder).read()).ok).toBe(true);
  });

  test('is finished where the first start was cut short', async () => {
    const folder = emptyFolder();
    await writeDocument(NODE_FILES, join(folder, 'shop.json'), printJson(WORKSHOP['shop.json']));
    expect(await writeDemo(folder)).toBe(true);
    expect((await openRegister(folder).read()).ok).toBe(true);
  });

  test('never goes into a folder with a document of its own', async () => {
    const folder = emptyFolder();
    fs.writeFileSync(join(folder, 'bays.json'), '{ "bays": [] }');
    expect(await writeDemo(folder)).toBe(false);
    expect(fs.readdirSync(folder)).toEqual(['bays.json']);
  });

  test('has one of each nasty case of gear, people and sealant on its first day', () => {
    const { gear, people, sealants } = demoRegister();
    expect(gear.get('G3')).toMatchObject({ tested: '2025-08-11', months: 6, gloveClass: '0' });
    expect(gear.get('G4')?.gloveClass).toBe('00');
    expect(gear.get('G5')?.out).toMatch(/leather/);
    expect(gear.get('W4')).toMatchObject({ tested: '2025-02-17', months: 12 });
    expect(people.get('pip')?.levels).toEqual([{ level: '1S', until: '2026-01-31' }]);
    expect(sealants.get('MS4-2502')?.useBy).toBe('2026-02-15');
  });
});

describe('a change by the program', () => {
  const demoFolder = async () => {
    const folder = emptyFolder();
    await writeDemo(folder);
    return folder;
  };

  test('keeps what a person edited meanwhile', async () => {
    const folder = await demoFolder();
    const register = openRegister(folder);
    await register.read();
    const path = join(folder, 'gear.json');
    fs.writeFileSync(path, fs.readFileSync(path, 'utf8').replace('Gloves size 9', 'Gloves size 9 long'));
    const checked = await register.change('gear.json', ({ gear }) => {
      for (const piece of gear) if (piece.id === 'G1') piece.out = 'hole in the thumb';
    });
    expect(checked.ok && checked.register.gear.get('G1')?.out).toBe('hole in the thumb');
    const read = await openRegister(folder).read();
    expect(read.ok && [read.register.gear.get('G1')?.out, read.register.gear.get('G2')?.label]).toEqual([
      'hole in the thumb',
      'Gloves size 9 long',
    ]);
  });

  test('that would make a fault is not written', async () => {
    const folder = await demoFolder();
    const before = fs.readFileSync(join(folder, 'bays.json'), 'utf8');
    const checked = await openRegister(folder).change('bays.json', ({ bays }) => {
      bays.push({ id: '1', label: 'again', lift: null });
    });
    expect(checked.ok).toBe(false);
    expect(fs.readFileSync(join(folder, 'bays.json'), 'utf8')).toBe(before);
  });

  test('is not made while a hand edit has a fault in it', async () => {
    const folder = await demoFolder();
    fs.writeFileSync(join(folder, 'people.json'), '{');
    const checked = await openRegister(folder).change('bays.json', ({ bays }) => void bays.pop());
    expect(!checked.ok && checked.faults.map(({ file }) => file)).toEqual(['people.json']);
  });

  test('a bad edit leaves the register in use as it was', async () => {
    const folder = await demoFolder();
    const opened = openRegister(folder);
    const keeper = keepRegister(opened, demoRegister());
    const before = keeper.register();
    fs.writeFileSync(join(folder, 'people.json'), '{');
    expect(await keeper.reload()).toHaveLength(1);
    expect(keeper.register()).toBe(before);
    fs.writeFileSync(join(folder, 'people.json'), printJson(WORKSHOP['people.json']));
    expect(await keeper.reload()).toEqual([]);
  });

  test('cycles of a wrench are counted once for each line of a job', async () => {
    const register = openRegister(await demoFolder());
    const used = { gear: 'W1', job: 'QM-2603-001', seq: 40, cycles: 10 };
    const done = async (one: typeof used) => {
      const checked = await register.countCycles(one);
      return checked.ok ? checked.register.gear.get('W1')?.cycles?.done : null;
    };
    expect(await done(used)).toBe(1190);
    expect(await done({ ...used, job: 'QM-2603-002', seq: 7 })).toBe(1200);
    expect(await done(used)).toBe(1200);
    expect(await done({ ...used, seq: 41, cycles: 2 })).toBe(1202);
  });
});

describe('job ids', () => {
  const march = { site: 'QM', month: '2026-03' };
  const free = async () => false;

  test('count up within a month and begin again with the next', async () => {
    const register = openRegister(emptyFolder());
    expect(await register.nextId({ ...march, key: 'a' }, free)).toBe('QM-2603-001');
    expect(await register.nextId({ ...march, key: 'b' }, free)).toBe('QM-2603-002');
    expect(await register.nextId({ ...march, month: '2026-04', key: 'c' }, free)).toBe('QM-2604-001');
  });

  test('the same input gets the same id again, after a restart too', async () => {
    const folder = emptyFolder();
    const first = await openRegister(folder).nextId({ ...march, key: 'a' }, free);
    expect(await openRegister(folder).nextId({ ...march, key: 'a' }, free)).toBe(first);
    expect(await openRegister(folder).nextId({ ...march, key: 'b' }, free)).toBe('QM-2603-002');
  });

  test('two that start at once get two ids', async () => {
    const register = openRegister(emptyFolder());
    const ids = await Promise.all(['a', 'b', 'c'].map((key) => register.nextId({ ...march, key }, free)));
    expect(new Set(ids).size).toBe(3);
  });

  test('lost counters give no number twice', async () => {
    const taken = async (id: string) => id <= 'QM-2603-014';
    expect(await openRegister(emptyFolder()).nextId({ ...march, key: 'x' }, taken)).toBe('QM-2603-015');
  });

  test('torn counters are read from the copy before, and give no number twice either', async () => {
    const folder = emptyFolder();
    const given = new Set<string>();
    for (const key of ['a', 'b', 'c']) given.add(await openRegister(folder).nextId({ ...march, key }, free));
    const path = join(folder, 'counters.json');
    fs.writeFileSync(path, fs.readFileSync(path, 'utf8').slice(0, 30));
    const taken = async (id: string) => given.has(id);
    expect(await openRegister(folder).nextId({ ...march, key: 'd' }, taken)).toBe('QM-2603-004');
  });

  test('with both copies unreadable it says which file, and does not begin again at 1', async () => {
    const folder = emptyFolder();
    for (const name of ['counters.json', 'counters.json.bak']) fs.writeFileSync(join(folder, name), '');
    await expect(openRegister(folder).nextId({ ...march, key: 'a' }, free)).rejects.toThrow(DocumentError);
  });
});

describe('due dates', () => {
  const due: readonly Due[] = [
    { what: 'disconnect fuse', on: '2034-03-02', atKm: null, rule: 'own-cell-from-fitting' },
    { what: 'coolant level cold', on: '2026-03-05', atKm: null, rule: 'first drive' },
    { what: 'next service', on: null, atKm: 96200, rule: 'distance' },
  ];
  const job = { job: 'QM-2603-001', seq: 150, registration: 'DEMO-1', due };

  const PATHS = [
    '2034-03/2034-03-02-disconnect-fuse',
    '2026-03/2026-03-05-coolant-level-cold',
    'undated/DEMO1',
  ];
  const everything = (folder: string) => openRegister(folder).dueUntil('2099-12-31');

  test('lie in the day they fall on, and filing them again changes no byte', async () => {
    const folder = emptyFolder();
    await openRegister(folder).fileDue(job);
    const files = () => PATHS.map((path) => fs.readFileSync(join(folder, `due/${path}.json`), 'utf8'));
    const before = files();
    const inode = fs.statSync(join(folder, 'due/2034-03/2034-03-02-disconnect-fuse.json')).ino;
    await openRegister(folder).fileDue(job);
    await openRegister(folder).fileDue({
      ...job,
      seq: 149,
      due: [{ ...due[0], what: 'disconnect fuse', on: '2034-03-09', atKm: null, rule: 'x' }],
    });
    expect(files()).toEqual(before);
    expect(fs.statSync(join(folder, 'due/2034-03/2034-03-02-disconnect-fuse.json')).ino).toBe(inode);
    expect((await everything(folder)).map(({ on }) => on)).toEqual(['2026-03-05', '2034-03-02']);
    expect(await openRegister(folder).dueUntil('2034-03-01')).toHaveLength(1);
    expect(await openRegister(folder).dueUntil('2026-03-04')).toEqual([]);
    expect((await openRegister(folder).dueUndated()).map(({ atKm }) => atKm)).toEqual([96200]);
  });

  test('a kill at any step of filing is made good by filing again', async () => {
    for (let killAt = 1; killAt <= 4; killAt++) {
      const folder = emptyFolder();
      let renames = 0;
      const files: Files = {
        ...NODE_FILES,
        rename: (from, to) =>
          ++renames >= killAt ? Promise.reject(new Error('killed')) : NODE_FILES.rename(from, to),
      };
      await expect(openRegister(folder, files).fileDue(job)).rejects.toThrow('killed');
      await openRegister(folder).fileDue(job);
      expect((await everything(folder)).map(({ on }) => on)).toEqual(['2026-03-05', '2034-03-02']);
      expect(await openRegister(folder).dueUndated()).toHaveLength(1);
    }
  });

  test('work done again settles the date of before, on the same car only, and leaves no empty file', async () => {
    const folder = emptyFolder();
    const register = openRegister(folder);
    const again = { what: 'coolant level cold', on: '2026-04-09', atKm: null, rule: 'r' };
    await register.fileDue({ ...job, endedAt: 1 });
    await register.fileDue({ ...job, job: 'QM-2603-002', registration: 'DEMO-2', endedAt: 2 });
    await register.fileDue({ ...job, job: 'QM-2603-003', registration: 'demo 1', endedAt: 3, due: [again] });
    expect((await everything(folder)).map(({ on, job: id }) => `${on} ${id}`)).toEqual([
      '2026-03-05 QM-2603-002',
      '2026-04-09 QM-2603-003',
      '2034-03-02 QM-2603-001',
      '2034-03-02 QM-2603-002',
    ]);
    await register.fileDue({ ...job, job: 'QM-2603-004', registration: 'DEMO-2', endedAt: 4, due: [again] });
    expect(fs.readdirSync(join(folder, 'due/2026-03'))).toEqual([]);
    // The first job's end comes in late: what is newer stands.
    await register.fileDue({ ...job, endedAt: 1 });
    expect((await everything(folder)).map(({ on }) => on)).toEqual([
      '2026-04-09',
      '2026-04-09',
      '2034-03-02',
      '2034-03-02',
    ]);
  });

  test('a look and a change of the same part settle each other: what was fitted last says which is due', async () => {
    const register = openRegister(emptyFolder());
    const fuse = (what: string, on: string | null, endedAt: number) =>
      register.fileDue({
        job: `QM-${endedAt}`,
        seq: 1,
        registration: 'DEMO-1',
        endedAt,
        due: [{ what, on, atKm: null, rule: 'r' }],
      });
    await fuse('fuse', '2026-05-01', 1);
    await fuse('fuse-look', '2028-05-01', 2);
    expect((await register.dueUntil('2099-12-31')).map(({ on }) => on)).toEqual(['2028-05-01']);
    await fuse('fuse', null, 3);
    expect(await register.dueUntil('2099-12-31')).toEqual([]);
  });

  test('months filed by the program of before are still read', async () => {
    const folder = emptyFolder();
    fs.mkdirSync(join(folder, 'due'));
    const old = { job: 'QM-2502-001', seq: 9, registration: 'DEMO-3', ...due[1], on: '2026-02-01' };
    fs.writeFileSync(join(folder, 'due/2026-02.json'), printJson({ due: [old] }));
    fs.writeFileSync(
      join(folder, 'due/undated.json'),
      printJson({ due: [{ ...old, on: null, atKm: 5000 }] }),
    );
    expect(await openRegister(folder).dueUntil('2026-03-31')).toEqual([old]);
    expect((await openRegister(folder).dueUndated()).map(({ atKm }) => atKm)).toEqual([5000]);
  });

  test('the last twenty jobs of a flow say what is usual, each of them once', async () => {
    const folder = emptyFolder();
    const time = (n: number) => ({
      job: `QM-${n}`,
      stages: [{ stage: 'make-safe', workedMs: n, waitedMs: 0, stoodMs: 0 }],
    });
    for (let n = 1; n <= 23; n++) await openRegister(folder).fileTime('disconnect-fuse', time(n));
    await openRegister(folder).fileTime('disconnect-fuse', time(23));
    const kept = await openRegister(folder).timesOf('disconnect-fuse');
    expect(kept.map(({ job: id }) => id)).toEqual(Array.from({ length: 20 }, (_, at) => `QM-${at + 4}`));
    expect(await openRegister(folder).timesOf('make-safe')).toEqual([]);
  });

  test('a day knows the jobs that ended on it, each of them once', async () => {
    const folder = emptyFolder();
    for (const id of ['QM-1', 'QM-2', 'QM-1']) await openRegister(folder).fileEndedOn('2026-03-02', id);
    expect(await openRegister(folder).endedOn('2026-03-02')).toEqual(['QM-1', 'QM-2']);
    expect(await openRegister(folder).endedOn('2026-03-03')).toEqual([]);
  });

  test("an ended job is in its car's history once, whatever its plate looks like", async () => {
    const folder = emptyFolder();
    const keeper = keepRegister(openRegister(folder), demoRegister());
    const ended = {
      ...job,
      registration: '../Demo 1/ü',
      flow: 'make-safe',
      bay: '1',
      startedAt: 1,
      endedAt: 2,
      how: 'done',
    };
    await keeper.fileEnded(ended);
    await keeper.fileEnded(ended);
    expect((await openRegister(folder).history('../demo1/Ü')).map(({ job: id, how }) => [id, how])).toEqual([
      ['QM-2603-001', 'done'],
    ]);
    expect(fs.readdirSync(join(folder, 'history'))).toHaveLength(1);
  });
});

test('every document of the register has its own file', () => {
  expect(new Set(DOCUMENT_NAMES).size).toBe(Object.keys(WORKSHOP).length);
});
