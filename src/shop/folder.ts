import { join } from 'node:path';
import { clashIn, type Json, type RegisterChange, same, valueAt, withChanges, withValue } from './change.js';
import { DocumentError, writeDocument } from './document.js';
import { DOCUMENT_NAMES, type DocumentName, type Written } from './documents.js';
import { fileNameOf, openDueFiles, ownDocument } from './due-files.js';
import type { RegisterFault } from './fault.js';
import { type Files, NODE_FILES } from './files.js';
import { parseJson, printJson } from './json.js';
import * as kept from './kept.js';
import { type Checked, checkRegister, type Register, type Texts } from './register.js';

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
  /** What the register would be with changes of one document in it, as it is now. Nothing is written. */
  would(changes: readonly RegisterChange[]): Promise<Checked>;
  /**
   * Makes changes of one document that were agreed in words, once for each `mark`: the line of the journal in which
   * they were agreed. It is written together with them, so doing it again changes nothing, whatever was edited by hand
   * since.
   */
  apply(changes: readonly RegisterChange[], mark: string): Promise<Applied>;
  /** Another text whenever a document has been written, by whomever. */
  stamp(): Promise<string>;
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

/** What a change came to. A `clash` leaves what was edited by hand since it was agreed. */
export type Applied =
  | { readonly is: 'done'; readonly register: Register }
  | { readonly is: 'clash'; readonly stands: Json; readonly register: Register }
  | { readonly is: 'faults'; readonly faults: readonly RegisterFault[] };

/** A job that ended, for the due list and the car's history. `seq` is its last line. */
export type EndedJob = kept.JobDue & kept.PastJob;

export type CyclesUsed = {
  readonly gear: string;
  readonly job: string;
  readonly seq: number;
  readonly cycles: number;
};

/** Nobody saves a document by hand this often while it is written. */
const MOST_TRIES = 5;

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

  /**
   * Writes what `edit` makes of a document as it is on the disk now. Somebody may save the same document at this very
   * moment: then the edit is made anew on what they saved, so that neither is lost.
   */
  const rewrite = async (name: DocumentName, edit: (document: Json) => Json): Promise<Checked> => {
    const path = join(folder, name);
    for (let tries = 0; tries < MOST_TRIES; tries++) {
      const now = await texts();
      const before = checkRegister(now);
      if (!before.ok) return before;
      const read = parseJson(now[name] ?? '');
      const document = read.ok ? (read.value as Json) : null;
      const edited = edit(document);
      // How somebody has set it out by hand is left alone where nothing changes.
      if (same(edited, document)) return before;
      const text = printJson(edited);
      const after = checkRegister({ ...now, [name]: text });
      if (!after.ok) return after;
      if ((await files.read(path)) !== now[name]) continue;
      await writeDocument(files, path, text);
      const replaced = await files.read(`${path}.bak`);
      if (replaced === now[name] || replaced === null) {
        await writeDocument(files, good, JSON.stringify({ ...now, [name]: text }));
        return after;
      }
      // It was saved in the instant between the look and the rename: theirs is put back, and the edit made on it.
      await writeDocument(files, path, replaced);
    }
    throw new DocumentError(path, `${path} is being saved again and again by somebody else.`);
  };

  const change: RegisterFolder['change'] = (name, edit) =>
    inTurn(() =>
      rewrite(name, (document) => {
        const edited = structuredClone(document);
        edit(edited as Written[typeof name]);
        return edited;
      }),
    );

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
    would: (changes) =>
      inTurn(async () => {
        const now = await texts();
        const [first] = changes;
        const read = first === undefined ? null : parseJson(now[first.file] ?? '');
        if (first === undefined || read?.ok !== true) return checkRegister(now);
        return checkRegister({ ...now, [first.file]: printJson(withChanges(read.value as Json, changes)) });
      }),
    apply: (changes, mark) =>
      inTurn(async () => {
        const [first] = changes;
        if (first === undefined) return { is: 'faults', faults: [] };
        let clash: RegisterChange | null = null;
        const checked = await rewrite(first.file, (document) => {
          clash = null;
          if (valueAt(document, ['applied']) === mark) return document;
          clash = clashIn(document, changes);
          return clash === null ? withValue(withChanges(document, changes), ['applied'], mark) : document;
        });
        if (!checked.ok) return { is: 'faults', faults: checked.faults };
        const { register } = checked;
        if (clash === null) return { is: 'done', register };
        return { is: 'clash', stands: valueAt(register.written[first.file] as Json, first.at), register };
      }),
    stamp: async () => {
      const stamps = await Promise.all(DOCUMENT_NAMES.map((name) => files.stamp(join(folder, name))));
      return stamps.join(' ');
    },
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
