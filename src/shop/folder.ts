import { join } from 'node:path';
import { writeDocument } from './document.js';
import { DOCUMENT_NAMES, type DocumentName, type Written } from './documents.js';
import { fileNameOf, openDueFiles, ownDocument } from './due-files.js';
import { type Files, NODE_FILES } from './files.js';
import { parseJson, printJson } from './json.js';
import * as kept from './kept.js';
import { type Checked, checkRegister, type Texts } from './register.js';

/** The register's folder. Reads and writes come one after the other; what a person edits meanwhile is seen. */
export type RegisterFolder = {
  /** Reads and checks all hand-edited documents. What is free of faults is kept as the last good register. */
  read(): Promise<Checked>;
  /** The register as it was last free of faults, from whichever run; null when it never was. */
  lastGood(): Promise<Checked | null>;
  /**
   * Edits a document as it is on the disk now. The whole register is checked first: with a fault in it, nothing is
   * written.
   */
  change<N extends DocumentName>(name: N, edit: (document: Written[N]) => void): Promise<Checked>;
  /** The next job id for the input `key`, in month `YYYY-MM`. The same key gets the same id again. */
  nextId(
    asked: { readonly site: string; readonly month: string; readonly key: string },
    isTaken: (id: string) => Promise<boolean>,
  ): Promise<string>;
  /** Files what an ended job makes due. Work done again settles the date of before. Doing it again changes nothing. */
  fileDue(due: kept.JobDue): Promise<void>;
  /** Everything due up to a day, `YYYY-MM-DD`, that was not settled since, earliest first. */
  dueUntil(date: string): Promise<readonly kept.DueEntry[]>;
  /** What only a distance rules. */
  dueUndated(): Promise<readonly kept.DueEntry[]>;
  /** Adds an ended job to the car's history. Doing it again changes nothing. */
  fileHistory(registration: string, job: kept.PastJob): Promise<void>;
  history(registration: string): Promise<readonly kept.PastJob[]>;
  /** Notes that a job ended on a day of the workshop. Doing it again changes nothing. */
  fileEndedOn(date: string, job: string): Promise<void>;
  /** The jobs that ended on a day, in the order in which they were filed. */
  endedOn(date: string): Promise<readonly string[]>;
  /** Keeps how long the stages of a job took, among the last ones of its flow. Doing it again changes nothing. */
  fileTime(flow: string, time: kept.JobTime): Promise<void>;
  /** The last jobs of a flow and how long their stages took, oldest first. */
  timesOf(flow: string): Promise<readonly kept.JobTime[]>;
  /** Adds to a wrench's cycles what line `seq` of a job used. Doing it again changes nothing. */
  countCycles(used: CyclesUsed): Promise<Checked>;
};

/** A job that ended, for the due list and the car's history. `seq` is its last line. */
export type EndedJob = kept.JobDue & kept.PastJob;

export type CyclesUsed = {
  readonly gear: string;
  readonly job: string;
  readonly seq: number;
  readonly cycles: number;
};

/** So many jobs are remembered by a wrench; older ones are long finished. */
const COUNTED_JOBS = 50;

export function openRegister(folder: string, files: Files = NODE_FILES): RegisterFolder {
  let turn: Promise<unknown> = Promise.resolve();
  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const run = turn.then(work);
    turn = run.catch(() => undefined);
    return run;
  };

  const good = join(folder, 'last-good.json');

  const texts = async (): Promise<Texts> => {
    const found = DOCUMENT_NAMES.map(async (name) => [name, await files.read(join(folder, name))] as const);
    return Object.fromEntries(await Promise.all(found)) as Texts;
  };

  const due = openDueFiles(folder, files);

  const historyFile = (registration: string) => {
    const empty = () => ({ registration, jobs: [] });
    const path = join(folder, `history/${fileNameOf(registration)}.json`);
    return ownDocument(files, path, kept.HISTORY, empty);
  };

  const endedFile = (date: string) => {
    const path = join(folder, `ended/${date.slice(0, 7)}/${date}.json`);
    return ownDocument(files, path, kept.ENDED_ON, () => ({ jobs: [] }));
  };

  const timesFile = (flow: string) => {
    const empty = () => ({ flow, jobs: [] });
    return ownDocument(files, join(folder, `times/${flow}.json`), kept.TIMES, empty);
  };

  const change: RegisterFolder['change'] = (name, edit) =>
    inTurn(async () => {
      const now = await texts();
      const before = checkRegister(now);
      if (!before.ok) return before;
      const json = parseJson(now[name] ?? '');
      const document = (json.ok ? json.value : null) as Written[typeof name];
      edit(document);
      const text = printJson(document);
      const after = checkRegister({ ...now, [name]: text });
      if (after.ok && text !== now[name]) await writeDocument(files, join(folder, name), text);
      return after;
    });

  return {
    read: () =>
      inTurn(async () => {
        const now = await texts();
        const checked = checkRegister(now);
        const text = JSON.stringify(now);
        if (checked.ok && (await files.read(good)) !== text) await writeDocument(files, good, text);
        return checked;
      }),
    lastGood: () =>
      inTurn(async () => {
        const text = await files.read(good);
        return text === null ? null : checkRegister(JSON.parse(text) as Texts);
      }),
    change,
    nextId: (asked, isTaken) =>
      inTurn(async () => {
        const empty = () => ({ numbers: {}, given: [] });
        const low = await ownDocument(files, join(folder, 'counters.json'), kept.COUNTERS, empty);
        const next = await kept.nextId(low.data, asked, isTaken);
        if (next.counters !== low.data) {
          low.data = next.counters;
          await low.write();
        }
        return next.id;
      }),
    fileDue: (job) => inTurn(() => due.file(job)),
    dueUntil: (date) => inTurn(() => due.until(date)),
    dueUndated: () => inTurn(() => due.undated()),
    fileHistory: (registration, job) =>
      inTurn(async () => {
        await files.makeFolder(join(folder, 'history'));
        const low = await historyFile(registration);
        if (low.data.jobs.some((one) => one.job === job.job)) return;
        low.data.jobs.push(job);
        await low.write();
      }),
    history: (registration) => inTurn(async () => (await historyFile(registration)).data.jobs),
    fileEndedOn: (date, job) =>
      inTurn(async () => {
        const low = await endedFile(date);
        if (low.data.jobs.includes(job)) return;
        await files.makeFolder(join(folder, `ended/${date.slice(0, 7)}`));
        low.data.jobs.push(job);
        await low.write();
      }),
    endedOn: (date) => inTurn(async () => (await endedFile(date)).data.jobs),
    fileTime: (flow, time) =>
      inTurn(async () => {
        const low = await timesFile(flow);
        const filed = kept.fileTime(low.data, time);
        if (filed === low.data) return;
        await files.makeFolder(join(folder, 'times'));
        low.data = filed;
        await low.write();
      }),
    timesOf: (flow) => inTurn(async () => (await timesFile(flow)).data.jobs),
    countCycles: ({ gear, job, seq, cycles }) =>
      change('gear.json', (document) => {
        const wrench = document.gear.find((piece) => piece.id === gear)?.cycles;
        if (wrench === undefined || (wrench.counted?.[job] ?? 0) >= seq) return;
        wrench.done += cycles;
        const { [job]: _, ...others } = wrench.counted ?? {};
        wrench.counted = Object.fromEntries([...Object.entries(others), [job, seq]].slice(-COUNTED_JOBS));
      }),
  };
}
