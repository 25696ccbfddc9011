import { clashIn, type Json, type RegisterChange, valueAt, withChanges } from '../shop/change.js';
import type { Written } from '../shop/documents.js';
import type { RegisterFault } from '../shop/fault.js';
import type { RegisterFolder } from '../shop/folder.js';
import { printJson } from '../shop/json.js';
import { type CarDue, entriesOf, fileForCar, USUAL_JOBS } from '../shop/kept.js';
import { type Checked, carKey, checkRegister, type Register, type Texts } from '../shop/register.js';
import { HandEdits } from './hand-edits.js';
import type { EndedJob, ShopPort } from './shop-port.js';

/** The register of a data folder. A bad hand edit leaves the last good one in force. */
export type FolderShop = ShopPort & {
  /** Reads the documents again; gives the faults of an edit that was not taken over, none when all is well. */
  refresh(): Promise<readonly RegisterFault[]>;
};

/**
 * Opens the register of a folder. With faults in it the last good one is in force and the faults are told; without a
 * good one there is no shop.
 */
export async function openFolderShop(
  folder: RegisterFolder,
): Promise<
  | { readonly ok: true; readonly shop: FolderShop; readonly faults: readonly RegisterFault[] }
  | { readonly ok: false; readonly faults: readonly RegisterFault[] }
> {
  const kept = await folder.lastGood();
  const read = await folder.read();
  // A bad edit of the night may not keep the bays from going on in the morning.
  const first = read.ok ? read : kept;
  const faults = read.ok ? [] : read.faults;
  if (first === null || !first.ok) return { ok: false, faults };
  let register = first.register;
  const edits = new HandEdits(kept?.ok === true ? kept.register.written : register.written);

  const refresh = async () => {
    const again = await folder.read();
    if (again.ok) register = again.register;
    edits.read(again);
    return again.ok ? [] : again.faults;
  };
  edits.read(read);

  const own = async (made: Promise<Checked>, edit: (documents: Written) => Written): Promise<Checked> => {
    const checked = await made;
    if (checked.ok) {
      register = checked.register;
      edits.own(edit);
    }
    return checked;
  };

  return {
    ok: true,
    faults,
    shop: {
      register: () => register,
      refresh,
      nextJobId: (key, month, isTaken) => folder.nextId({ site: register.shop.site, month, key }, isTaken),
      takeOut: async (id, reason) => {
        const at = [...gearWay(id), 'out'];
        await own(
          folder.change('gear.json', (document) => {
            const piece = document.gear.find((one) => one.id === id);
            if (piece !== undefined && piece.out === undefined) piece.out = reason;
          }),
          (documents) => changedIn(documents, [{ file: 'gear.json', at, before: null, after: reason }]),
        );
      },
      would: async (changes) => {
        const checked = await folder.would(changes);
        return checked.ok ? [] : checked.faults;
      },
      apply: async (changes, mark) => {
        const applied = await folder.apply(changes, mark);
        if (applied.is === 'faults') return applied;
        register = applied.register;
        if (applied.is === 'clash') return { is: 'clash', stands: applied.stands };
        edits.own((documents) => changedIn(documents, changes));
        return { is: 'done' };
      },
      countCycles: async (used) => {
        const known = register.written['gear.json'].gear.find(({ id }) => id === used.gear)?.cycles;
        if (known === undefined || (known.counted?.[used.job] ?? 0) >= used.seq) return;
        await own(folder.countCycles(used), (documents) => {
          const at = [...gearWay(used.gear), 'cycles', 'done'];
          const before = Number(valueAt(documents['gear.json'] as Json, at) ?? 0);
          return changedIn(documents, [{ file: 'gear.json', at, before, after: before + used.cycles }]);
        });
      },
      look: () =>
        edits.look(
          () => folder.stamp(),
          refresh,
          () => register.written,
        ),
      fileEnded: async (ended) => {
        const { job, seq, registration, due, flow, bay, startedAt, endedAt, endedOn, stages, how } = ended;
        await folder.fileDue({ job, seq, registration, due, endedAt });
        await folder.fileHistory(registration, { job, flow, bay, startedAt, endedAt, how });
        if (stages !== null) await folder.fileTime(flow, { job, stages });
        await folder.fileEndedOn(endedOn, job);
      },
      endedOn: (date) => folder.endedOn(date),
      timesOf: (flow) => folder.timesOf(flow),
      dueUntil: (date) => folder.dueUntil(date),
      dueUndated: () => folder.dueUndated(),
    },
  };
}

const gearWay = (id: string) => ['gear', { by: 'id', is: id }] as const;

/** The documents with changes of one of them. */
function changedIn(documents: Written, changes: readonly RegisterChange[]): Written {
  const [first] = changes;
  if (first === undefined) return documents;
  return { ...documents, [first.file]: withChanges(documents[first.file] as Json, changes) } as Written;
}

/** A register in memory, for dry runs and tests: the same answers every time, nothing on disk. */
export function memoryShop(opened: Register): ShopPort & { readonly ended: readonly EndedJob[] } {
  let register = opened;
  const given = new Map<string, string>();
  const ended: EndedJob[] = [];
  const marks = new Set<string>();
  const counted = new Map<string, number>();
  const changed = (changes: readonly RegisterChange[]) =>
    checkRegister(textsOf(changedIn(register.written, changes)));
  return {
    ended,
    register: () => register,
    nextJobId: async (key, month, isTaken) => {
      const known = given.get(key);
      if (known !== undefined) return known;
      for (let number = given.size + 1; ; number++) {
        const id = `${register.shop.site}-${month.slice(2).replace('-', '')}-${String(number).padStart(3, '0')}`;
        if ((await isTaken(id)) || [...given.values()].includes(id)) continue;
        given.set(key, id);
        return id;
      }
    },
    takeOut: async (id, reason) => {
      const piece = register.gear.get(id);
      if (piece === undefined || piece.out !== null) return;
      const change = { file: 'gear.json', at: [...gearWay(id), 'out'], before: null, after: reason } as const;
      const written = changedIn(register.written, [change]);
      register = { ...register, gear: new Map(register.gear).set(id, { ...piece, out: reason }), written };
    },
    would: async (changes) => {
      const checked = changed(changes);
      return checked.ok ? [] : checked.faults;
    },
    apply: async (changes, mark) => {
      const [first] = changes;
      if (first === undefined || marks.has(mark)) return { is: 'done' };
      const document = register.written[first.file] as Json;
      if (clashIn(document, changes) !== null) return { is: 'clash', stands: valueAt(document, first.at) };
      const checked = changed(changes);
      if (!checked.ok) return { is: 'faults', faults: checked.faults };
      marks.add(mark);
      register = checked.register;
      return { is: 'done' };
    },
    countCycles: async ({ gear, job, seq, cycles }) => {
      const key = `${gear} ${job}`;
      const piece = register.gear.get(gear);
      if (piece === undefined || piece.cycles === null || (counted.get(key) ?? 0) >= seq) return;
      counted.set(key, seq);
      const done = piece.cycles.done + cycles;
      const at = [...gearWay(gear), 'cycles', 'done'];
      const change = { file: 'gear.json', at, before: piece.cycles.done, after: done } as const;
      const next = { ...piece, cycles: { ...piece.cycles, done } };
      register = {
        ...register,
        gear: new Map(register.gear).set(gear, next),
        written: changedIn(register.written, [change]),
      };
    },
    look: async () => null,
    fileEnded: async (job) => {
      if (!ended.some((one) => one.job === job.job)) ended.push(job);
    },
    endedOn: async (date) => ended.filter(({ endedOn }) => endedOn === date).map(({ job }) => job),
    timesOf: async (flow) =>
      ended
        .flatMap((one) =>
          one.flow === flow && one.stages !== null ? [{ job: one.job, stages: one.stages }] : [],
        )
        .slice(-USUAL_JOBS),
    dueUntil: async (date) => {
      const found = dueOf(ended).filter(({ on }) => on !== null && on <= date);
      return found.toSorted((a, b) => (a.on ?? '').localeCompare(b.on ?? ''));
    },
    dueUndated: async () => dueOf(ended).filter(({ on, atKm }) => on === null && atKm !== null),
  };
}

/** What is due after these jobs: work done again settles the date of before. */
function dueOf(ended: readonly EndedJob[]): CarDue['due'] {
  const cars = new Map<string, CarDue>();
  for (const job of ended) {
    const key = carKey(job.registration);
    const car = cars.get(key) ?? { registration: job.registration, due: [] };
    cars.set(key, fileForCar(car, entriesOf(job)).car);
  }
  return [...cars.values()].flatMap(({ due }) => due);
}

function textsOf(documents: Written): Texts {
  return Object.fromEntries(
    Object.entries(documents).map(([name, document]) => [name, printJson(document)]),
  ) as Texts;
}
