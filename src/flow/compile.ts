import { type FactId, rulesOf } from '../rule/rules.js';
import { asksOf, optionsOf } from './asks.js';
import { type Hash, hashOf } from './bundle.js';
import { compileFacts, type Declared, declarations, needOf, refOf } from './facts.js';
import type { Fault } from './fault.js';
import type { Choice, Flow, GearKind, Hazard, Step } from './flow.js';
import type { HazardsText } from './grammar.js';
import { type Join, madeFact, needsOf, openedFact, roadOf, type Stop } from './route.js';
import type { FlowFile, Shelf } from './text.js';

/** The flow whose steps every startable flow gets as its route of parking. */
export const PARK_FLOW = 'park-safe';

/** A flow for the engine, with the way back to what was written and all texts it was made from. */
export type Compiled = {
  readonly flow: Flow;
  readonly file: FlowFile;
  readonly stops: readonly Stop[];
  readonly joins: readonly Join[];
  readonly texts: ReadonlyMap<string, string>;
  /** Every flow that it uses could be read. */
  readonly whole: boolean;
};

/**
 * Writes one flow out for the engine. What it cannot make sense of becomes faults; the checks of `check.ts` say
 * whether what it did make is a good flow.
 */
export function compile(
  shelf: Shelf,
  file: FlowFile,
  hash: Hash,
): { readonly compiled: Compiled; readonly faults: readonly Fault[] } {
  const declared = declarations(shelf);
  const isPark = file.head.park === true;
  const road = roadOf(shelf, file, isPark ? 'park' : 'job');
  const park = file.head.start === true ? shelf.flows.get(PARK_FLOW) : undefined;
  const parkRoad = park === undefined ? null : roadOf(shelf, park, 'park', `${PARK_FLOW}/`);
  const given = file.head.given ?? [];
  const stops = isPark ? road.stops : trimmed(road.stops, parkRoad?.stops ?? [], given);
  const facts = compileFacts(factsOf(stops, file, declared), declared);
  const hazards = hazardsOf(shelf.hazards?.text ?? null);
  const steps = stops.map((stop) => stepOf(stop, hazards));
  const texts = textsOf(shelf, [...road.files, ...(parkRoad?.files ?? [])], facts.keys(), declared);
  const flow: Flow = {
    id: file.id,
    title: file.head.title,
    start: file.head.start ?? false,
    park: isPark,
    bundle: hashOf(file.id, texts, hash),
    given,
    leaves: leavesOf(file, stops, facts),
    facts,
    steps,
    choices: choicesOf([...road.files, ...(parkRoad?.files ?? [])], stops),
    hazards,
    levels: shelf.hazards?.text.levels ?? [],
    rules: rulesOf([...facts.values()], steps),
  };
  const faults = [...road.faults, ...(parkRoad?.faults ?? [])];
  const whole = faults.length === 0;
  return { compiled: { flow, file, stops, joins: road.joins, texts, whole }, faults };
}

/**
 * The job's route and, of the route of parking, what this flow can come to: a step for an opening that this flow
 * never opens is left out, as is the end of a fact that it never makes.
 */
function trimmed(job: readonly Stop[], park: readonly Stop[], given: readonly FactId[]): readonly Stop[] {
  let kept = park;
  for (;;) {
    const made = madeBy([...job, ...kept], given);
    const left = kept.filter((stop) =>
      stop.when.every((condition) => {
        const comes = madeFact(condition);
        if (comes !== null) return made.has(comes);
        const fact = openedFact(condition);
        return fact === null || made.has(fact) || condition.is.includes('no');
      }),
    );
    if (left.length === kept.length) break;
    kept = left;
  }
  const made = madeBy([...job, ...kept], given);
  return [...job, ...kept].map((stop) => ({
    ...stop,
    when: stop.when.filter((condition) => {
      if (madeFact(condition) !== null) return false;
      const fact = openedFact(condition);
      return fact === null || made.has(fact);
    }),
    text: { ...stop.text, ends: (stop.text.ends ?? []).filter((fact) => made.has(fact)) },
  }));
}

function madeBy(stops: readonly Stop[], given: readonly FactId[]): ReadonlySet<FactId> {
  return new Set([...given, ...stops.flatMap((stop) => stop.text.makes ?? [])]);
}

/** Every fact that the steps name, and what those rest on. */
function factsOf(
  stops: readonly Stop[],
  file: FlowFile,
  declared: ReadonlyMap<FactId, Declared>,
): ReadonlySet<FactId> {
  const found = new Set<FactId>();
  const add = (id: FactId) => {
    if (found.has(id) || !declared.has(id)) return;
    found.add(id);
    for (const ground of declared.get(id)?.text['rest-on'] ?? []) add(ground);
  };
  for (const id of file.head.given ?? []) add(id);
  for (const stop of stops) {
    for (const id of [
      ...needsOf(stop).flat(2),
      ...(stop.text.makes ?? []),
      ...(stop.text.ends ?? []),
      ...(stop.text.alarm ?? []),
      ...stop.when.flatMap((condition) => openedFact(condition) ?? []),
    ]) {
      add(id);
    }
  }
  return found;
}

/** What the flow says it leaves, and openings that it is given and never closes. */
function leavesOf(
  file: FlowFile,
  stops: readonly Stop[],
  facts: ReadonlyMap<FactId, { readonly opening: boolean }>,
): readonly FactId[] {
  const ended = new Set(stops.filter((stop) => stop.route === 'job').flatMap((stop) => stop.text.ends ?? []));
  const brought = (file.head.given ?? []).filter((id) => facts.get(id)?.opening === true && !ended.has(id));
  return [...new Set([...(file.head.leaves ?? []), ...brought])];
}

function stepOf(stop: Stop, hazards: ReadonlyMap<string, Hazard>): Step {
  const { text, kind } = stop;
  const hazardGear = hazards.get(text.hazard)?.gear ?? [];
  const gear = new Set<GearKind>([...(text.gear ?? []), ...hazardGear]);
  if (kind === 'tighten') gear.add('wrench');
  const open = optionsOf(text).filter((option) => option.hold === null);
  return {
    id: stop.id,
    kind,
    needs: needsOf(stop),
    makes: text.makes ?? [],
    ends: text.ends ?? [],
    when: stop.when,
    sets: stop.choice === null ? null : { choice: stop.choice, options: open.map((option) => option.say) },
    again: text.again ?? false,
    route: stop.route,
    text: text[kind] ?? '',
    card: text.card ?? [],
    hazard: text.hazard,
    asks: asksOf(kind, text, stop.choice),
    judge: text.judge ?? null,
    outOfLimits: text['out-of-limits'] ?? 'hold',
    alarm: text.alarm ?? [],
    tighten:
      text.torque === undefined || text.bolts === undefined || text.pattern === undefined
        ? null
        : {
            torque: refOf(text.torque),
            bolts: refOf(text.bolts),
            pattern: refOf(text.pattern),
            stage: text.pass ?? 'all',
          },
    gear: [...gear],
    photo: text.photo ?? false,
    meanwhile: text.meanwhile ?? [],
    stage: text.stage ?? stop.file.id,
    file: stop.file.source.name,
    line: stop.file.source.fault(stop.path, '', '').line,
  };
}

function choicesOf(files: readonly FlowFile[], stops: readonly Stop[]): ReadonlyMap<string, Choice> {
  const choices = new Map<string, Choice>();
  for (const file of new Set(files)) {
    for (const [name, { options }] of Object.entries(file.head.choices ?? {})) {
      choices.set(name, { name, from: 'vehicle', options });
    }
  }
  for (const stop of stops) {
    if (stop.choice === null) continue;
    const open = optionsOf(stop.text).filter((option) => option.hold === null);
    choices.set(stop.choice, { name: stop.choice, from: 'step', options: open.map((option) => option.say) });
  }
  return choices;
}

function hazardsOf(text: HazardsText | null): ReadonlyMap<string, Hazard> {
  return new Map(
    Object.entries(text?.hazards ?? {}).map(([id, hazard]) => [
      id,
      {
        id,
        label: hazard.label,
        demands: (hazard.demands ?? []).map(needOf),
        level: hazard.level ?? null,
        second: hazard.second === undefined ? null : { level: hazard.second.level ?? null },
        gear: hazard.gear ?? [],
        stop: hazard.stop ?? [],
      },
    ]),
  );
}

/** The texts that made the flow: its own, those it uses, the hazard table, those that declare its facts. */
function textsOf(
  shelf: Shelf,
  files: readonly FlowFile[],
  facts: Iterable<FactId>,
  declared: ReadonlyMap<FactId, Declared>,
): ReadonlyMap<string, string> {
  const sources = new Map(files.map((file) => [file.source.name, file.source]));
  for (const id of facts) {
    const source = declared.get(id)?.file.source;
    if (source !== undefined) sources.set(source.name, source);
  }
  const hazards = shelf.hazards?.source;
  if (hazards !== undefined) sources.set(hazards.name, hazards);
  return new Map([...sources.values()].map(({ name, text }) => [name, text] as const).sort(byName));
}

function byName(a: readonly [string, string], b: readonly [string, string]): number {
  return a[0] < b[0] ? -1 : 1;
}
