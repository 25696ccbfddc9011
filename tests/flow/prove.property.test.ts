import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Flow } from '../../src/flow/flow.js';
import { prove } from '../../src/flow/prove.js';
import { restingOn } from '../../src/rule/next.js';
import { type FactRule, type Rules, rulesOf, type StepRule } from '../../src/rule/rules.js';
import { fact, step } from '../rule/bench-job.js';
import { naiveWalk, type Verdict } from './naive-walk.js';

const MOST_STATES = 6_000;

/** A flow with nothing but what the rules read. */
function flowOf(rules: Rules, choices: Flow['choices'], given: readonly string[]): Flow {
  return {
    id: 'small',
    title: 'small',
    start: given.length === 0,
    park: false,
    bundle: '',
    given,
    leaves: [],
    facts: new Map(),
    steps: rules.steps as Flow['steps'],
    choices,
    hazards: new Map(),
    levels: [],
    rules,
  };
}

type Small = { readonly rules: Rules; readonly given: readonly string[] };

const FACTS = ['a', 'b', 'c', 'd', 'e'];

const factKinds = fc.constantFrom(
  'state',
  'state',
  'undone',
  'opening',
  'opening-undone',
  'proof',
  'proof',
  'after',
  'within',
);

/** `instead-of` goes both ways; clocks stand for nothing else, and nothing rests on what it stands instead of. */
function mutually(facts: readonly FactRule[]): FactRule[] {
  const plain = facts.map((one) => (one.clock === null ? one : { ...one, insteadOf: [] }));
  return plain.map((one) => {
    const named = plain.filter((other) => other.insteadOf.includes(one.id)).map((other) => other.id);
    const both = [...new Set([...one.insteadOf, ...named])].filter((id) => {
      const other = plain.find((rule) => rule.id === id);
      const related = groundsOf(plain, id).includes(one.id) || groundsOf(plain, one.id).includes(id);
      return other !== undefined && other.clock === null && !related;
    });
    return { ...one, insteadOf: one.clock === null ? both : [] };
  });
}

function without(rule: FactRule, id: string): FactRule {
  return { ...rule, insteadOf: rule.id === id ? [] : rule.insteadOf.filter((other) => other !== id) };
}

/** All that a fact rests on. */
function groundsOf(facts: readonly FactRule[], id: string): string[] {
  const rule = facts.find((one) => one.id === id);
  return (rule?.restOn ?? []).flatMap((ground) => [ground, ...groundsOf(facts, ground)]);
}

/** Facts rest on facts before them; steps need mostly what steps before them make. */
const smallFlow: fc.Arbitrary<Small> = fc
  .record({
    facts: fc.array(
      fc.record({ kind: factKinds, on: fc.array(fc.nat(9), { maxLength: 2 }), instead: fc.nat(9) }),
      { minLength: 2, maxLength: 4 },
    ),
    steps: fc.array(
      fc.record({
        makes: fc.array(fc.nat(9), { maxLength: 2 }),
        ends: fc.array(fc.nat(9), { maxLength: 2 }),
        needs: fc.array(fc.nat(9), { maxLength: 2 }),
        or: fc.nat(15),
        when: fc.nat(9),
        sets: fc.nat(19),
        again: fc.nat(9),
        sane: fc.nat(9),
        twin: fc.nat(4),
      }),
      { minLength: 2, maxLength: 5 },
    ),
    given: fc.nat(5),
    close: fc.nat(5),
    park: fc.nat(3),
    parkNeeds: fc.nat(9),
    parkOr: fc.nat(9),
    parkEnds: fc.nat(9),
  })
  .map(({ facts, steps, given, close, park, parkNeeds, parkOr, parkEnds }) => {
    const made: FactRule[] = facts.map(({ kind, on, instead }, index) => {
      const grounds = index === 0 ? [] : [...new Set(on.map((n) => FACTS[n % index] ?? 'a'))];
      const other = FACTS[(index + 1) % facts.length] ?? 'a';
      const clock = kind === 'after' || kind === 'within' ? kind : null;
      return fact(FACTS[index] ?? 'a', clock !== null ? 'clock' : kind === 'proof' ? 'proof' : 'state', {
        clock,
        opening: kind.startsWith('opening'),
        canBeUndone: kind.endsWith('undone'),
        restOn:
          clock !== null && grounds.length === 0 && index > 0 ? ['a'] : kind === 'within' ? [] : grounds,
        insteadOf: clock === null && instead === 0 && facts.length > 1 ? [other] : [],
      });
    });
    const before = new Set<string>(given === 0 ? ['a'] : []);
    const ids = made.map((one) => one.id);
    const at = (n: number) => ids[n % ids.length] ?? 'a';
    // What is given stays: nothing here is made, ended or stood instead of.
    const mutual = mutually(given === 0 ? made.map((one) => without(one, 'a')) : made);
    const ruleOf = (id: string) => mutual.find((rule) => rule.id === id);
    // A choice is made once, before any step reads it.
    const setter = steps.findIndex((one) => one.sets === 0 && one.when !== 1);
    const rules: StepRule[] = steps.flatMap((one, index) => {
      const brought = one.when === 0 || one.when === 2;
      const known = one.sane > 0 ? [...before] : ids;
      const needs = [
        ...new Set(one.needs.flatMap((n) => (known.length === 0 ? [] : [known[n % known.length] ?? 'a']))),
      ];
      // Left out is what the checks of a flow refuse: two facts made at once of which each ends the other, a fact
      // made before what it rests on, or while that is ended.
      const makes = [...new Set(one.makes.map(at))].filter(
        (id, n, all) =>
          (given !== 0 || id !== 'a') &&
          !all.slice(0, n).some((other) => ruleOf(other)?.insteadOf.includes(id) === true) &&
          groundsOf(mutual, id).every((ground) => before.has(ground) || all.slice(0, n).includes(ground)),
      );
      const below = new Set(makes.flatMap((id) => groundsOf(mutual, id)));
      const ends = [...new Set(one.ends.map(at))].filter(
        (id) => !makes.includes(id) && !below.has(id) && (given !== 0 || id !== 'a'),
      );
      // What its facts rest on is a need of the maker, as the checks of a flow demand.
      const grounds = makes.flatMap((id) => ruleOf(id)?.restOn ?? []);
      const own = restingOn(rulesOf(mutual, []), makes);
      const wanted = [
        ...new Set([
          ...needs.filter((id) => !own.has(id)),
          ...grounds.filter((id) => !makes.includes(id) && before.has(id)),
        ]),
      ];
      for (const id of makes) before.add(id);
      const made = step(`s${index}`, {
        needs: wanted.map((id, n) =>
          n === 0 && one.or < 3 && !own.has(at(one.or)) && ruleOf(at(one.or))?.clock !== 'after'
            ? [[id], [at(one.or)]]
            : [[id]],
        ),
        makes,
        ends,
        when: brought
          ? [{ reads: 'x', is: ['p'] }]
          : one.when === 1 && setter >= 0 && setter < index
            ? [{ reads: 'y', is: ['q'] }]
            : [],
        sets: index === setter ? { choice: 'y', options: ['q', 'r'] } : null,
        again: one.again === 0,
      });
      if (!brought || one.twin === 0) return [made];
      // The same in another manner, for the other kind of vehicle: what a checker takes together afterwards.
      const other = step(`t${index}`, {
        ...made,
        id: `t${index}`,
        needs: one.twin < 3 ? made.needs : [],
        when: [{ reads: 'x', is: ['o'] }],
      });
      return one.twin === 1 ? [other, made] : [made, other];
    });
    if (close > 0) {
      const opened = made.filter((one) => one.opening && before.has(one.id)).map((one) => one.id);
      if (opened.length > 0) rules.push(step('last', { ends: opened }));
    }
    // Parking closes what stands open, mostly; it may need what the job makes, and may end it.
    if (park === 0 && given !== 0) {
      const makeable = ids.filter((id) => before.has(id) && ruleOf(id)?.clock !== 'within');
      const pick = (n: number) => makeable[n % makeable.length] ?? null;
      const need = parkNeeds < 5 ? pick(parkNeeds) : null;
      const or = need !== null && parkOr < 4 ? pick(parkOr) : null;
      const ended = parkEnds < 4 ? pick(parkEnds) : null;
      rules.push(
        step('p0', {
          needs: need === null ? [] : [or === null || or === need ? [[need]] : [[need], [or]]],
          ends: ended === null ? [] : [ended],
          route: 'park',
        }),
        ...mutual
          .filter(({ opening }) => opening)
          .map(({ id }) =>
            step(`p-${id}`, { ends: [id], when: [{ reads: `open:${id}`, is: ['yes'] }], route: 'park' }),
          ),
      );
      if (parkOr > 6) rules.pop();
    }
    return { rules: rulesOf(mutual, rules), given: given === 0 ? ['a'] : [] };
  });

function reduced({ rules, given }: Small): Verdict & { readonly told: string } {
  const x = { name: 'x', from: 'vehicle', options: ['p', 'o'] } as const;
  const { breaks } = prove(flowOf(rules, new Map([['x', x]]), given), []);
  return {
    stuck: breaks.some((one) => one.problem.startsWith('nothing brings back')),
    open: breaks.some((one) => one.property === 'closed'),
    parkedOpen: breaks.some((one) => one.problem.includes('left open by parking')),
    told: breaks.map((one) => [one.problem, ...one.path].join('\n  ')).join('\n'),
    circle: breaks.some((one) => one.problem.includes('circle') || one.problem.includes('questions')),
  };
}

function described({ rules, given }: Small): string {
  const facts = rules.facts.map(
    (one) =>
      `${one.id} ${one.clock ?? one.kind}${one.opening ? ' opening' : ''}${one.canBeUndone ? ' undone' : ''} on ${one.restOn} instead ${one.insteadOf}`,
  );
  const steps = rules.steps.map(
    (one) =>
      `${one.id} needs ${JSON.stringify(one.needs)} makes ${one.makes} ends ${one.ends} ${one.when.map((c) => `when ${c.reads}=${c.is}`)} ${one.sets === null ? '' : 'sets y'} ${one.again ? 'again' : ''}`,
  );
  return [`given ${given}`, ...facts, ...steps].join('\n');
}

/*
 * PROVE_RUNS=100000 PROVE_SEED=7 npx vitest run --config tests/vitest.config.ts tests/flow/prove.property.test.ts
 * looks deeper. Run it after any change to `src/rule`, `likeness.ts`, `life.ts` or `walk.ts`.
 */
const RUNS = Number(process.env.PROVE_RUNS ?? 4_000);
const SEED = process.env.PROVE_SEED === undefined ? {} : { seed: Number(process.env.PROVE_SEED) };

const FAULTS = ['stuck', 'open', 'circle', 'parkedOpen'] as const;

describe('the walk of the proof', () => {
  test('misses nothing on small flows that trying everything finds, and hardly ever refuses in vain', () => {
    const tally = { good: 0, stuck: 0, open: 0, circle: 0, parkedOpen: 0, parks: 0, tooBig: 0 };
    const inVain: string[] = [];
    fc.assert(
      fc.property(smallFlow, (small) => {
        const all = naiveWalk(small.rules, [{ x: 'p' }, { x: 'o' }], small.given, [], MOST_STATES);
        if (all === null) {
          tally.tooBig++;
          return;
        }
        for (const fault of FAULTS) if (all[fault]) tally[fault]++;
        if (FAULTS.every((fault) => !all[fault])) tally.good++;
        if (small.rules.steps.some(({ route }) => route === 'park')) tally.parks++;
        const { told, ...found } = reduced(small);
        const words = `${described(small)}\n${told}`;
        // A flow that can get stuck is refused; what else it would show once that is mended is another flow.
        const wanted = all.stuck ? { stuck: true } : all;
        const missed = Object.entries(wanted).filter(([fault, is]) => is && !found[fault as keyof Verdict]);
        expect(missed, words).toEqual([]);
        const more = !all.stuck && FAULTS.some((one) => found[one] && !all[one]);
        if (more) inVain.push(words);
      }),
      { numRuns: RUNS, ...SEED },
    );
    // Each kind of fault has to have come up, or nothing was shown about it.
    for (const kind of ['good', 'parks', ...FAULTS] as const) {
      expect(tally[kind], kind).toBeGreaterThan(RUNS / 500);
    }
    expect(tally.tooBig).toBeLessThan(RUNS / 10);
    // A wait that is long over may be taken to run still, since the walk keeps no time (`Likeness.key`).
    expect(inVain.length, inVain.join('\n\n')).toBeLessThanOrEqual(RUNS / 500);
  });
});
