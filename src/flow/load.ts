import type { FactId } from '../rule/rules.js';
import type { Hash } from './bundle.js';
import { checkFiles, checkRoute } from './check.js';
import { type Compiled, compile, PARK_FLOW } from './compile.js';
import { declarations, listOf } from './facts.js';
import { type Fault, inOrder, printFault } from './fault.js';
import type { Flow } from './flow.js';
import { conditionsOf, needsOfText, openedFact } from './route.js';
import type { FlowText } from './source.js';
import { type FlowFile, filesOf, HAZARDS_FILE, isBlind, readShelf, type Shelf } from './text.js';

export type { FlowText } from './source.js';

export type Loaded = {
  /** By id; startable flows, fragments and the flow of parking. None of them has a fault. */
  readonly flows: ReadonlyMap<string, Flow>;
  /** All faults of all files, by file and line. */
  readonly faults: readonly Fault[];
  /** What would read better, by file and line; keeps no flow from running. */
  readonly advice: readonly Fault[];
};

/**
 * Reads, compiles and checks all flow files at once. `files` are the whole folder, the hazard table included, by
 * their bare names (`make-safe.yaml`). Never throws for what the texts hold: that becomes faults.
 */
export function loadFlows(files: readonly FlowText[], hash: Hash): Loaded {
  const shelf = readShelf(files);
  const faults: Fault[] = [...shelf.faults];
  const compiled = new Map<string, Compiled>();
  const bad = new Map<string, string>(shelf.broken);
  for (const file of filesOf(shelf)) {
    const made = compile(shelf, file, hash);
    const found = [...made.faults, ...checkRoute(shelf, made.compiled), ...leaningOn(shelf, file)];
    faults.push(...found);
    compiled.set(file.id, made.compiled);
  }
  const checked = checkFiles(shelf);
  faults.push(...checked.faults);
  const blamed = new Set(faults.map((fault) => fault.file));
  const table = shelf.hazards?.source.name ?? '';
  for (const file of filesOf(shelf)) {
    if (blamed.has(file.source.name) || blamed.has(table)) bad.set(file.id, file.source.name);
  }
  faults.push(...unreadable(shelf, bad), ...infected(shelf, compiled, bad));
  const flows = new Map<string, Flow>();
  for (const [id, { flow }] of compiled) if (!bad.has(id)) flows.set(id, flow);
  return { flows, faults: inOrder(faults), advice: inOrder(checked.advice) };
}

/** A flow that names a fact which only a file that cannot be read may declare. */
function unreadable(shelf: Shelf, bad: Map<string, string>): readonly Fault[] {
  if (!isBlind(shelf)) return [];
  const faults: Fault[] = [];
  const declared = declarations(shelf);
  const files = [...shelf.broken].filter(([id]) => !shelf.torn.has(id)).map(([, file]) => file);
  for (const file of shelf.flows.values()) {
    const facts = factsNamedIn(file);
    const lacking = facts.find((id) => !declared.has(id));
    if (lacking === undefined || bad.has(file.id)) continue;
    bad.set(file.id, file.source.name);
    faults.push(
      file.source.fault(
        ['flow'],
        `no file that can be read declares "${lacking}"`,
        `mend ${files.join(', ')} first`,
      ),
    );
  }
  return faults;
}

/** Every fact that a file names: in its steps, in its head, and in what its own facts rest on or stand for. */
function factsNamedIn(file: FlowFile): readonly FactId[] {
  const inSteps = file.lines.flatMap((line) => {
    const { when } = line.is === 'use' ? line.use : line.step;
    const opened = conditionsOf(file, '', when).flatMap((condition) => openedFact(condition) ?? []);
    if (line.is === 'use') return opened;
    return [
      ...opened,
      ...needsOfText(line.step).flat(2),
      ...(line.step.makes ?? []),
      ...(line.step.ends ?? []),
    ];
  });
  const inFacts = Object.values(file.head.facts ?? {}).flatMap((fact) => [
    ...(fact['rest-on'] ?? []),
    ...listOf(fact['instead-of']),
    ...(fact['check-in']?.while ?? []),
  ]);
  return [...inSteps, ...inFacts, ...(file.head.given ?? []), ...(file.head.leaves ?? [])];
}

/** What no line of the flow says but every flow leans on: the hazard table, and the flow of parking. */
function leaningOn(shelf: Shelf, file: FlowFile): Fault[] {
  const faults: Fault[] = [];
  const { source, head } = file;
  if (shelf.hazards === null) {
    faults.push(
      source.fault(['flow'], 'no hazard table that can be read', `write, or mend, ${HAZARDS_FILE}`),
    );
  }
  if (head.start === true && !shelf.flows.has(PARK_FLOW)) {
    const remedy = `write, or mend, ${PARK_FLOW}.yaml`;
    faults.push(source.fault(['start'], 'no flow of parking that can be read', remedy));
  }
  return faults;
}

/** A flow whose texts include a faulty one is not run either, and says so in one line. */
function infected(
  shelf: Shelf,
  compiled: ReadonlyMap<string, Compiled>,
  bad: Map<string, string>,
): readonly Fault[] {
  const faults: Fault[] = [];
  const idOf = new Map(filesOf(shelf).map((file) => [file.source.name, file.id]));
  const first = new Map(bad);
  for (const [id, { file, texts }] of compiled) {
    if (first.has(id)) continue;
    const through = [...texts.keys()]
      .flatMap((name) => idOf.get(name) ?? [])
      .filter((other) => first.has(other));
    const [other] = through;
    if (other === undefined) continue;
    bad.set(id, file.source.name);
    const line = file.lines.find((one) => one.is === 'use' && one.use.use === other);
    const path = line === undefined ? ['flow'] : [...line.path, 'use'];
    const what = line === undefined ? 'needs' : 'uses';
    faults.push(
      file.source.fault(path, `${what} ${other}, which has faults`, `mend ${first.get(other)} first`),
    );
  }
  return faults;
}

/** The texts a job of this flow is run by, to be kept with the job. The files are those it was loaded from. */
export function bundleTexts(flow: Flow, files: readonly FlowText[]): ReadonlyMap<string, string> {
  const shelf = readShelf(files);
  const file = shelf.flows.get(flow.id);
  return file === undefined ? new Map() : compile(shelf, file, () => '').compiled.texts;
}

export const BUNDLE_ERRORS = ['not-readable', 'other-bundle'] as const;
export type BundleErrorCode = (typeof BUNDLE_ERRORS)[number];

/** The texts kept with a job do not give its flow any more. */
export class BundleError extends Error {
  readonly code: BundleErrorCode;

  constructor(code: BundleErrorCode, message: string) {
    super(message);
    this.name = 'BundleError';
    this.code = code;
  }
}

/**
 * The flow of a job under way, from the texts kept with it. It was checked when the job began and is not checked
 * again: a stricter check of today must not strand a job of yesterday.
 *
 * @throws {BundleError} `not-readable` when the flow is not among the texts or its grammar is no longer known,
 * `other-bundle` when the texts are not those that the hash names.
 */
export function loadBundle(texts: ReadonlyMap<string, string>, id: string, bundle: string, hash: Hash): Flow {
  const shelf = readShelf([...texts].map(([name, text]) => ({ name, text })));
  const file = shelf.flows.get(id);
  if (file === undefined) {
    const first = inOrder(shelf.faults)[0];
    const why = first === undefined ? 'it is not among the texts' : printFault(first);
    throw new BundleError('not-readable', `bundle ${bundle} does not give flow "${id}": ${why}`);
  }
  const { flow } = compile(shelf, file, hash).compiled;
  if (flow.bundle === bundle) return flow;
  throw new BundleError(
    'other-bundle',
    `the texts of flow "${id}" make bundle ${flow.bundle}, not ${bundle}`,
  );
}
