import { meant, oneOf } from './closest.js';
import { type Complaint, readBy } from './complaint.js';
import type { Fault } from './fault.js';
import { STEP_KINDS, type StepKind } from './flow.js';
import {
  anyStepSchema,
  type FlowHead,
  flowSchema,
  type HazardsText,
  hazardsSchema,
  STEP_SCHEMAS,
  type StepText,
  type UseText,
  useSchema,
} from './grammar.js';
import { type FlowText, type Path, readSource, type Source } from './source.js';

/** The file that holds the hazard table; every other file holds a flow. */
export const HAZARDS_FILE = 'hazards.yaml';

/** A step as written, or the use of another flow, with the way to it. */
export type Line =
  | { readonly is: 'step'; readonly kind: StepKind; readonly step: StepText; readonly path: Path }
  | { readonly is: 'use'; readonly use: UseText; readonly path: Path };

/** A flow file whose grammar holds. What it means together with the others is not looked at yet. */
export type FlowFile = {
  readonly id: string;
  readonly source: Source;
  readonly head: Omit<FlowHead, 'steps'>;
  readonly lines: readonly Line[];
};

export type HazardFile = { readonly source: Source; readonly text: HazardsText };

/** What the files hold, each with faults of its own grammar. */
export type Shelf = {
  /** By id. Those with faults of grammar are left out. */
  readonly flows: ReadonlyMap<string, FlowFile>;
  readonly hazards: HazardFile | null;
  /** Flows with faults of grammar in some steps: what could be read of them, so that the rest is checked too. */
  readonly torn: ReadonlyMap<string, FlowFile>;
  /** Ids of flows whose file has faults of grammar, with the file; torn ones included. */
  readonly broken: ReadonlyMap<string, string>;
  readonly faults: readonly Fault[];
};

/** Reads all files, by name, so that the order in which they came changes nothing. */
export function readShelf(files: readonly FlowText[]): Shelf {
  const flows = new Map<string, FlowFile>();
  const torn = new Map<string, FlowFile>();
  const broken = new Map<string, string>();
  const faults: Fault[] = [];
  let hazards: HazardFile | null = null;
  for (const file of [...files].sort((a, b) => (a.name < b.name ? -1 : 1))) {
    const source = readSource(file);
    faults.push(...source.faults);
    const base = file.name.slice(file.name.lastIndexOf('/') + 1);
    const stem = base.replace(/\.yaml$/, '');
    if (base === HAZARDS_FILE) {
      const read = readHazards(source);
      faults.push(...unsaid(read.faults, source));
      if (source.faults.length === 0) hazards = read.file;
      continue;
    }
    const read = readFlow(source);
    faults.push(...unsaid(read.faults, source));
    if (read.flow === null || read.faults.length > 0 || source.faults.length > 0) {
      broken.set(stem, file.name);
      if (read.flow !== null && read.flow.id === stem) torn.set(stem, read.flow);
      continue;
    }
    if (read.flow.id !== stem) {
      const remedy = `call the file ${read.flow.id}.yaml, or the flow ${stem}`;
      faults.push(source.fault(['flow'], `flow "${read.flow.id}" in a file of another name`, remedy));
      broken.set(stem, file.name);
      continue;
    }
    flows.set(read.flow.id, read.flow);
  }
  return { flows, hazards, torn, broken, faults };
}

/** Whether some file could not be read at all: what others lack may be declared there. */
export function isBlind(shelf: Shelf): boolean {
  return shelf.broken.size > shelf.torn.size;
}

/** All flow files of which anything is known. */
export function filesOf(shelf: Shelf): readonly FlowFile[] {
  return [...shelf.flows.values(), ...shelf.torn.values()];
}

/** Of the faults of grammar those at a place that the text itself has not been blamed for. */
function unsaid(faults: readonly Fault[], source: Source): readonly Fault[] {
  return faults.filter(
    (fault) => !source.faults.some((said) => said.line === fault.line && said.column === fault.column),
  );
}

function readHazards(source: Source): { file: HazardFile | null; faults: Fault[] } {
  if (source.data === null) return { file: null, faults: emptied(source) };
  const { value, complaints } = readBy(hazardsSchema, source.data);
  const faults = complaints.map((complaint) => placed(source, complaint, []));
  return { file: value === null ? null : { source, text: value }, faults };
}

function readFlow(source: Source): { flow: FlowFile | null; faults: Fault[] } {
  if (source.data === null) return { flow: null, faults: emptied(source) };
  const { value, complaints } = readBy(flowSchema, source.data);
  const faults = complaints.map((complaint) => placed(source, complaint, []));
  const lines: Line[] = [];
  for (const [index, data] of stepsIn(source.data).entries()) {
    const read = readLine(data, ['steps', index]);
    if (read.line !== null) lines.push(read.line);
    faults.push(...read.complaints.map((complaint) => placed(source, complaint, ['steps', index])));
  }
  if (value === null) return { flow: null, faults };
  const { steps: _, ...head } = value;
  return { flow: { id: head.flow, source, head, lines }, faults };
}

function emptied(source: Source): Fault[] {
  if (source.faults.length > 0) return [];
  return [source.fault([], 'an empty file', 'write a flow, or delete the file')];
}

function stepsIn(data: unknown): readonly unknown[] {
  if (typeof data !== 'object' || data === null || !('steps' in data)) return [];
  return Array.isArray(data.steps) ? data.steps : [];
}

const KINDS: readonly string[] = [...STEP_KINDS, 'use'];

function readLine(data: unknown, path: Path): { line: Line | null; complaints: readonly Complaint[] } {
  const failed = (problem: string, remedy: string, at: Path = []) => ({
    line: null,
    complaints: [{ path: at, at: at.length > 0 ? ('key' as const) : ('value' as const), problem, remedy }],
  });
  if (typeof data !== 'object' || data === null || Array.isArray(data)) {
    return failed('not a step', 'write { id: NAME, do: TEXT, hazard: none }');
  }
  const keys = Object.keys(data);
  const [first, other] = keys.filter((key) => KINDS.includes(key));
  if (first === undefined) {
    const slip = keys.map((key) => ({ key, near: meant(key, KINDS, '') })).find(({ near }) => near !== '');
    if (slip !== undefined) return failed(`unknown key "${slip.key}"`, slip.near, [slip.key]);
    return failed('a step without a kind', `give it one of ${oneOf(KINDS)}`);
  }
  if (other !== undefined)
    return failed(`a step with two kinds, ${first} and ${other}`, 'make it two steps', [other]);
  if (first === 'use') {
    const { value, complaints } = readBy(useSchema, data);
    return { line: value === null ? null : { is: 'use', use: value, path }, complaints };
  }
  const kind = STEP_KINDS.find((known) => known === first);
  if (kind === undefined) return failed('a step without a kind', `give it one of ${oneOf(KINDS)}`);
  const { complaints } = readBy<unknown>(STEP_SCHEMAS[kind], data);
  if (complaints.length > 0) return { line: null, complaints };
  const { value } = readBy(anyStepSchema, data);
  return { line: value === null ? null : { is: 'step', kind, step: value, path }, complaints };
}

function placed(source: Source, complaint: Complaint, above: Path): Fault {
  return source.fault([...above, ...complaint.path], complaint.problem, complaint.remedy, complaint.at);
}
