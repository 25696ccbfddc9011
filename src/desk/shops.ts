import type { RegisterFault } from '../shop/fault.js';
import type { RegisterFolder } from '../shop/folder.js';
import { type CarDue, entriesOf, fileForCar, USUAL_JOBS } from '../shop/kept.js';
import { carKey, type Register } from '../shop/register.js';
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
  const read = await folder.read();
  // A bad edit of the night may not keep the bays from going on in the morning.
  const first = read.ok ? read : await folder.lastGood();
  const faults = read.ok ? [] : read.faults;
  if (first === null || !first.ok) return { ok: false, faults };
  let register = first.register;
  return {
    ok: true,
    faults,
    shop: {
      register: () => register,
      refresh: async () => {
        const again = await folder.read();
        if (!again.ok) return again.faults;
        register = again.register;
        return [];
      },
      nextJobId: (key, month, isTaken) => folder.nextId({ site: register.shop.site, month, key }, isTaken),
      takeOut: async (id, reason) => {
        const again = await folder.change('gear.json', (document) => {
          const piece = document.gear.find((one) => one.id === id);
          if (piece !== undefined && piece.out === undefined) piece.out = reason;
        });
        if (again.ok) register = again.register;
      },
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

/** A register in memory, for dry runs and tests: the same answers every time, nothing on disk. */
export function memoryShop(opened: Register): ShopPort & { readonly ended: readonly EndedJob[] } {
  let register = opened;
  const given = new Map<string, string>();
  const ended: EndedJob[] = [];
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
      register = { ...register, gear: new Map(register.gear).set(id, { ...piece, out: reason }) };
    },
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
