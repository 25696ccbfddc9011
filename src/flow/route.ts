import type { Condition, FactId, Need, Route, StepId } from '../rule/rules.js';
import { openKey } from '../rule/rules.js';
import { meant, oneOf } from './closest.js';
import { listOf, needOf } from './facts.js';
import type { Fault } from './fault.js';
import type { StepKind } from './flow.js';
import type { StepText } from './grammar.js';
import type { Path } from './source.js';
import type { FlowFile, Line, Shelf } from './text.js';

/** A step of a route with all uses written out, and the way back to the line it was written on. */
export type Stop = {
  readonly id: StepId;
  readonly kind: StepKind;
  readonly text: StepText;
  readonly when: readonly Condition[];
  readonly route: Route;
  /** The name under which a choose step keeps its answer; null for other kinds. */
  readonly choice: string | null;
  readonly file: FlowFile;
  readonly path: Path;
};

/** The use of a flow on a route: what it is given has to stand there. */
export type Join = {
  readonly file: FlowFile;
  readonly path: Path;
  readonly used: FlowFile;
  readonly before: number;
};

export type Road = {
  readonly stops: readonly Stop[];
  readonly joins: readonly Join[];
  readonly files: ReadonlySet<FlowFile>;
  readonly faults: readonly Fault[];
};

/** Writes out the route of a flow: file order, used flows in their place, conditions joined by and. */
export function roadOf(shelf: Shelf, flow: FlowFile, route: Route, prefix = ''): Road {
  const stops: Stop[] = [];
  const joins: Join[] = [];
  const files = new Set<FlowFile>();
  const faults: Fault[] = [];
  const walk = (file: FlowFile, under: string, when: readonly Condition[], above: readonly string[]) => {
    files.add(file);
    for (const line of file.lines) {
      const text = line.is === 'use' ? line.use : line.step;
      const conditions = [...when, ...conditionsOf(file, under, text.when)];
      if (line.is === 'step') {
        stops.push(stopOf(line, file, under, conditions, route));
        continue;
      }
      const used = usedBy(shelf, file, line, above, faults);
      if (used === null) continue;
      joins.push({ file, path: line.path, used, before: stops.length });
      walk(used, `${under}${line.use.id ?? line.use.use}/`, conditions, [...above, used.id]);
    }
  };
  walk(flow, prefix, [], [flow.id]);
  return { stops, joins, files, faults };
}

function usedBy(
  shelf: Shelf,
  file: FlowFile,
  line: Line & { is: 'use' },
  above: readonly string[],
  faults: Fault[],
): FlowFile | null {
  const name = line.use.use;
  const at: Path = [...line.path, 'use'];
  if (above.includes(name)) {
    const circle = [...above.slice(above.indexOf(name)), name].join(' uses ');
    faults.push(file.source.fault(at, `goes round in a circle: ${circle}`, 'take one of these uses out'));
    return null;
  }
  const used = shelf.flows.get(name);
  if (used !== undefined) return used;
  const brokenFile = shelf.broken.get(name);
  if (brokenFile !== undefined) {
    faults.push(file.source.fault(at, `uses ${name}, which has faults`, `mend ${brokenFile} first`));
  } else {
    const known = [...shelf.flows.keys()];
    faults.push(
      file.source.fault(at, `no flow "${name}"`, meant(name, known, `there are ${oneOf(known) || 'none'}`)),
    );
  }
  return null;
}

function stopOf(
  line: Line & { is: 'step' },
  file: FlowFile,
  under: string,
  when: readonly Condition[],
  route: Route,
): Stop {
  const choice = line.kind === 'choose' ? (line.step.choice ?? `${under}${line.step.id}`) : null;
  return {
    id: `${under}${line.step.id}`,
    kind: line.kind,
    text: line.step,
    when,
    route,
    choice,
    file,
    path: line.path,
  };
}

const MADE = 'made:';

/** The fact that a job has to come to for a step of parking to be in it; null for any other condition. */
export function madeFact(condition: Condition): FactId | null {
  return condition.reads.startsWith(MADE) ? condition.reads.slice(MADE.length) : null;
}

/** `open` and `closed` read what stood open when parking began, all else a choice by its name. */
export function conditionsOf(file: FlowFile, under: string, when: StepText['when']): readonly Condition[] {
  return Object.entries(when ?? {}).flatMap(([name, is]): Condition[] => {
    if (name === 'open' || name === 'closed') {
      const answer = name === 'open' ? 'yes' : 'no';
      return listOf(is).map((fact) => ({ reads: openKey(fact), is: [answer] }));
    }
    // Whether a job comes to it at all is known before it begins: `trimmed` of `compile.ts` leaves such a step out.
    if (name === 'made') return listOf(is).map((fact) => ({ reads: `${MADE}${fact}`, is: ['yes'] }));
    // A choose step without a choice of its own name is read, in its own file, by its id.
    const own = file.lines.some(
      (line) =>
        line.is === 'step' &&
        line.kind === 'choose' &&
        line.step.choice === undefined &&
        line.step.id === name,
    );
    return [{ reads: own ? `${under}${name}` : name, is: listOf(is) }];
  });
}

/** What a stop needs, way by way; what a wait step waits for included. */
export function needsOf(stop: Stop): readonly Need[] {
  return needsOfText(stop.text);
}

/** The same of a step as written. */
export function needsOfText(text: StepText): readonly Need[] {
  return [...(text.needs ?? []).map(needOf), ...(text.for ?? []).map((fact): Need => [[fact]])];
}

/** The fact whose standing open a condition reads; null when it reads a choice. */
export function openedFact(condition: Condition): FactId | null {
  const mark = openKey('');
  return condition.reads.startsWith(mark) ? condition.reads.slice(mark.length) : null;
}
