import type { RegisterFault } from './fault.js';
import type { EndedJob, RegisterFolder } from './folder.js';
import type { Register } from './register.js';

/** The register while the program runs: always the last one that was good. */
export type Keeper = {
  register(): Register;
  /** Reads the folder again after an edit by hand. With faults, the register in use stays as it was. */
  reload(): Promise<readonly RegisterFault[]>;
  /** The next job id, `SITE-2603-014`; the same input key gets the same id again. */
  nextJobId(key: string, month: string, isTaken: (id: string) => Promise<boolean>): Promise<string>;
  /** Files what an ended job makes due, and the job in its car's history. Doing it again changes nothing. */
  fileEnded(ended: EndedJob): Promise<void>;
};

/** Keeps a register that was read and found good. */
export function keepRegister(folder: RegisterFolder, first: Register): Keeper {
  let register = first;
  return {
    register: () => register,
    reload: async () => {
      const checked = await folder.read();
      if (!checked.ok) return checked.faults;
      register = checked.register;
      return [];
    },
    nextJobId: (key, month, isTaken) => folder.nextId({ site: register.shop.site, month, key }, isTaken),
    fileEnded: async (ended) => {
      const { job, flow, bay, startedAt, endedAt, how } = ended;
      await folder.fileDue(ended);
      await folder.fileHistory(ended.registration, { job, flow, bay, startedAt, endedAt, how });
    },
  };
}
