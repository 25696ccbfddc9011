import type { Ask, Flow, Step } from '../../src/flow/flow.js';
import type { Answer, Event } from '../../src/job/event.js';
import type { Input } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';
import type { Line } from '../../src/journal/line.js';
import { type Quantity, valueIn } from '../../src/units/quantity.js';
import { dimensionOf } from '../../src/units/unit.js';
import { Ledger, notEven } from './ledger.js';
import { wrongNumber } from './numbers.js';
import { wrongAfter, wrongBefore } from './truths.js';

type Value = 'stands' | 'running' | 'doubt' | 'gone';
type Visit = {
  step: Step;
  word: string | null;
  answers: string[];
  told: Answer[];
  wrong: (string | null)[];
  seq: number;
  lastAt: number;
};
/** What the simulator knows of an input that it sent. */
export type Sent = { readonly input: Input; readonly first: boolean };

const MINUTE = 60_000;
const OFF: Partial<Record<string, string>> = { 'check-in': 'standby', 'new-person': 'standby' };
const ALL = new Set(['pause', 'unattended', 'hold', 'stop', 'park', 'hand-over']);

/** A second opinion: from a flow's declarations and what happened it works out by itself what stands. */
export class Model {
  readonly value = new Map<string, Value>();
  readonly instant = new Map<string, number>();
  visit: Visit | null = null;
  holder = '';
  standby: string | null = null;
  mode = 'working';
  now = 0;
  heardAt = 0;
  ended = false;
  private readonly choices: Record<string, string> = {};
  private readonly values: Record<string, Job['values'][string]> = {};
  private readonly figures: Record<string, { value: number; unit: 's' | 'min' | 'h' }> = {};
  /** What was read of what is watched, and the watch that settled last. */
  private readonly read = new Map<string, { at: number; value: number }[]>();
  private settled: string | null = null;
  /** Readings and counts by name, the last of each. */
  private readonly numbers = new Map<string, Quantity>();
  private readonly coolant = new Ledger();
  private readonly steps: ReadonlyMap<string, Step>;

  constructor(
    private readonly flow: Flow,
    private readonly placeOf: (key: string) => string | null,
  ) {
    this.steps = new Map(flow.steps.map((step) => [step.id, step]));
  }

  /** Takes one line of the journal; complaints are what must never be. */
  take(job: string, line: Line, sent: Sent | null): string[] {
    const wrong: string[] = [];
    const claim = (holds: boolean, problem: string) => {
      if (!holds) wrong.push(`line ${line.seq}: ${problem}`);
    };
    claim(line.at >= this.now, `now runs back from ${this.now} to ${line.at}`);
    this.now = Math.max(this.now, line.at);
    const open = this.visit;
    const gone = this.whoWent(sent);
    line.events.forEach((event, i) => {
      this.event(job, line, event, line.events.slice(i + 1), sent, claim);
    });
    if (gone !== null && open?.step.needs.every((need) => need.length === 1)) {
      const lapses = open.step.needs
        .flat(2)
        .filter((id) => this.flow.facts.get(id)?.lapse.on.some((on) => on === gone));
      claim(this.visit !== open || lapses.length === 0, `${open.step.id} stays open without ${lapses}`);
    }
    return wrong;
  }

  is = (fact: string): Value => this.value.get(fact) ?? 'gone';

  /** A clock says nothing without its ground. */
  stands = (fact: string): boolean => {
    const declared = this.flow.facts.get(fact);
    if (declared === undefined || this.is(fact) !== 'stands') return false;
    if (declared.kind !== 'clock') return true;
    const at = this.instant.get(fact) ?? 0;
    const inTime = declared.clock === 'after' ? at <= this.now : at > this.now;
    return inTime && declared.restOn.every(this.stands);
  };

  private knows = (fact: string): boolean => this.flow.facts.has(fact);

  /** What a clock without its ground comes to. */
  private looksLike = (fact: string): Value => {
    const value = this.is(fact);
    return value === 'stands' && !this.stands(fact) ? 'running' : value;
  };

  private set(fact: string, to: Value): void {
    const from = this.is(fact);
    if (from === to) return;
    this.value.set(fact, to);
    if (to === 'gone') this.instant.delete(fact);
    if (to === 'doubt' || to === 'gone') this.shake(fact, to);
  }

  private shake(ground: string, to: Value): void {
    for (const above of this.flow.facts.values()) {
      if (!above.restOn.includes(ground) || this.is(above.id) === 'gone') continue;
      if (above.kind !== 'clock') this.set(above.id, 'doubt');
      else if (to === 'gone') this.set(above.id, 'gone');
      else this.shake(above.id, 'doubt');
    }
  }

  private doubt(fact: string): void {
    if (this.flow.facts.get(fact)?.kind !== 'clock' && this.is(fact) !== 'gone') this.set(fact, 'doubt');
  }

  private start(fact: string, at: number): void {
    const { clock, time } = this.flow.facts.get(fact) ?? { clock: null, time: null };
    if (clock === 'within' && this.is(fact) !== 'gone') return;
    this.value.set(fact, clock === 'within' ? 'stands' : 'running');
    if (time === null) return;
    const lasts =
      'value' in time
        ? time
        : time.from === 'figure'
          ? this.figures[time.name]
          : this.values[`${time.from}.${time.name}`]?.quantity;
    this.instant.set(fact, lasts == null ? Number.NaN : at + valueIn(lasts, 's') * 1000);
  }

  private met(step: Step, but: ReadonlySet<string>): string | null {
    const lacking = step.needs.find((need) => !need.some((way) => way.every((fact) => this.good(fact, but))));
    return lacking === undefined
      ? null
      : `${lacking.join(' or ')} (${lacking.flat().map(this.is).join(' ')})`;
  }

  /** What lapses by somebody's word that he goes. */
  private whoWent(sent: Sent | null): 'away' | 'standby' | null {
    if (sent === null || !sent.first || this.mode !== 'working') return null;
    const { body, by, marks } = sent.input;
    if (body.is !== 'text' || body.text !== 'away' || Object.keys(marks).length > 0) return null;
    return by === this.holder ? 'away' : by === this.standby ? 'standby' : null;
  }

  /** Something is between two places where it could be left. */
  private underWay(): boolean {
    return [...this.flow.facts.values()].some((fact) => fact.noStop && this.is(fact.id) !== 'gone');
  }

  private wordIsOf(step: Step, word: string | null): boolean {
    const { words = [] } = step.asks.find((ask) => ask.ask === 'word') ?? {};
    return word !== null && words.includes(word);
  }

  /** Notes what was told; why it does not do for its limits. */
  private told(ask: Ask, answer: Answer): string | null {
    const wrong = wrongNumber({ ask, answer, values: this.values, before: this.numbers });
    if (answer.ask === 'reading') this.numbers.set(answer.name, answer.reading.quantity);
    if (answer.ask === 'field' && answer.type === 'count')
      this.numbers.set(answer.name, { value: Number(answer.text), unit: 'pcs' });
    return wrong;
  }

  /** A fact that the step itself shakes is not looked at, but what it rests on is. */
  private good(fact: string, but: ReadonlySet<string>): boolean {
    if (!but.has(fact)) return this.stands(fact);
    return (this.flow.facts.get(fact)?.restOn ?? []).every((ground) => this.good(ground, but));
  }

  private own(step: Step): ReadonlySet<string> {
    const displaced = step.makes.flatMap((id) => this.flow.facts.get(id)?.insteadOf ?? []);
    const found = new Set([...step.makes, ...step.ends, ...displaced]);
    for (const id of found)
      for (const above of this.flow.facts.values()) if (above.restOn.includes(id)) found.add(above.id);
    return found;
  }

  /** What ran out never becomes less, and only five minutes with next to nothing in them settle it. */
  private watch(
    { of, step, saidAt, outcome }: Event & { readonly type: 'watched' },
    claim: (holds: boolean, problem: string) => void,
  ): void {
    const read = this.read.get(of) ?? [];
    this.read.set(of, read);
    const { quantity } = outcome.total;
    const volume = dimensionOf(quantity.unit) === 'volume';
    const before = read.at(-1);
    if (volume) claim(quantity.value >= (before?.value ?? 0), `${of} lost something`);
    read.push({ at: saidAt, value: quantity.value });
    if (outcome.verdict !== 'settled') return;
    this.settled = step;
    const quiet = read.some(({ at, value }) => {
      const minutes = (saidAt - at) / MINUTE;
      return minutes >= 5 && (!volume || (quantity.value - value) / minutes < 2);
    });
    claim(quiet, `${of} settled without five quiet minutes`);
  }

  private event(
    job: string,
    line: Line,
    event: Event,
    later: readonly Event[],
    sent: Sent | null,
    claim: (holds: boolean, problem: string) => void,
  ): void {
    const { visit, flow } = this;
    const step = 'step' in event && event.step !== null ? this.steps.get(event.step) : undefined;
    switch (event.type) {
      case 'job-started':
        this.holder = event.holder;
        Object.assign(this.choices, event.choices);
        Object.assign(this.values, event.values);
        this.heardAt = event.at;
        return;
      case 'values-loaded':
        return void Object.assign(this.values, event.values);
      case 'value-set':
        this.values[event.key] = event.value;
        return;
      case 'figures-kept':
        for (const figure of event.figures)
          this.figures[figure.name] = figure.quantity as { value: number; unit: 'min' };
        return;
      case 'heard-from':
        if (event.person === this.holder) this.heardAt = event.at;
        return;
      case 'standby-named':
        this.standby = event.person;
        return;
      case 'step-shown': {
        if (step === undefined) return claim(false, `shows ${event.step}, which is no step`);
        claim(this.mode === 'working' || this.mode === 'parking', `${step.id} shown while ${this.mode}`);
        claim(this.met(step, new Set()) === null, `${step.id} shown without ${this.met(step, new Set())}`);
        if (step.kind === 'gate')
          claim(this.wordIsOf(step, event.word), `${step.id} shown with "${event.word}"`);
        const applies = step.when.every((one) => one.is.includes(this.choices[one.reads] ?? ''));
        claim(applies, `${step.id} shown though it does not apply`);
        for (const id of step.ends) this.doubt(id);
        for (const id of step.makes) {
          const fact = flow.facts.get(id);
          for (const other of fact?.insteadOf ?? []) this.doubt(other);
          if (fact?.clock === 'within') this.start(id, event.at);
          else if (fact?.kind !== 'clock') this.set(id, 'doubt');
        }
        this.visit = {
          step,
          word: event.word,
          answers: [],
          told: [],
          wrong: [],
          seq: line.seq,
          lastAt: event.at,
        };
        return;
      }
      case 'answer-taken-back': {
        // Only the last answer, by the holder, and never at a gate: there everything is asked anew.
        claim(
          visit !== null && visit.step === step && step?.kind !== 'gate',
          `${event.step} taken back at a gate`,
        );
        claim(visit?.answers.length === event.ask + 1, `${event.step} took back more than the last answer`);
        visit?.answers.pop();
        visit?.wrong.pop();
        visit?.told.pop();
        return;
      }
      case 'answered': {
        const ask = step?.asks[event.ask];
        if (visit === null || step === undefined || visit.step !== step)
          return claim(false, `${event.step} answered, not asked`);
        claim(visit.answers.length === event.ask, `${step.id} answered out of order`);
        this.coolant.told(event.answer);
        claim(
          this.met(step, this.own(step)) === null,
          `${step.id} answered without ${this.met(step, this.own(step))}`,
        );
        if (step.kind === 'gate')
          claim(event.at <= visit.lastAt + 15 * MINUTE, `${step.id} answered in an old visit`);
        const second = ask?.ask === 'second-look' || (ask?.ask === 'reading' && ask.by === 'second');
        const scribe = ask?.ask === 'reading' || ask?.ask === 'dead-test' || ask?.ask === 'values';
        if (second)
          claim(
            event.by === this.standby && event.by !== this.holder,
            `${step.id}: ${event.by} is not the second`,
          );
        else
          claim(
            event.by === this.holder || (scribe && event.by === this.standby),
            `${step.id} answered by ${event.by}`,
          );
        claim(sent?.first === true && sent.input.key === line.key, `${step.id} answered by nothing new`);
        // What is corrected in the same breath was asked in the same line.
        const seen = sent?.input.seen ?? null;
        const place = visit.seq === line.seq ? null : this.placeOf(`${job}:${visit.seq}:bay`);
        claim(seen === null || place === null || seen >= place, `${step.id} answered before it was seen`);
        this.visit = {
          ...visit,
          answers: [...visit.answers, event.by],
          told: [...visit.told, event.answer],
          wrong: ask === undefined ? visit.wrong : [...visit.wrong, this.told(ask, event.answer)],
          seq: line.seq,
          lastAt: event.at,
        };
        if (step.kind === 'gate' && ask?.ask === 'word')
          claim(this.mayPass(job, visit, sent), `${step.id} took "${line.words}" for its word`);
        return;
      }
      case 'watched': {
        if (visit === null || step === undefined || visit.step !== step)
          return claim(false, `${event.step} read, not watched`);
        claim(
          this.met(step, this.own(step)) === null,
          `${step.id} read without ${this.met(step, this.own(step))}`,
        );
        claim(event.by === this.holder || event.by === this.standby, `${step.id} read by ${event.by}`);
        claim(sent?.first === true && sent.input.key === line.key, `${step.id} read by nothing new`);
        this.coolant.sighted(event.of, event.sighted);
        return this.watch(event, claim);
      }
      case 'watched-taken-back':
        this.coolant.unsighted(event.of);
        this.read.get(event.of)?.pop();
        return;
      case 'step-completed':
        if (visit === null || step === undefined || visit.step !== step)
          return claim(false, `${event.step} completed, not shown`);
        if (step.kind === 'watch') claim(this.settled === step.id, `${step.id} completed by no reading`);
        else claim(visit.answers.length === step.asks.length, `${step.id} completed with questions open`);
        this.settled = null;
        claim(
          this.met(step, this.own(step)) === null,
          `${step.id} completed without ${this.met(step, this.own(step))}`,
        );
        claim((step.kind === 'gate') === (event.gate !== null), `${step.id} passed without evidence`);
        this.coolant.closed(step.id, visit.told);
        for (const number of visit.wrong) claim(number === null, `${step.id}: ${number}`);
        for (const one of wrongBefore(step, this.looksLike, this.knows)) claim(false, one);
        for (const id of step.ends) this.set(id, 'gone');
        for (const id of step.makes) {
          for (const other of flow.facts.get(id)?.insteadOf ?? []) this.set(other, 'gone');
          if (flow.facts.get(id)?.kind !== 'clock') this.set(id, 'stands');
        }
        for (const id of step.makes) if (flow.facts.get(id)?.kind === 'clock') this.start(id, event.at);
        Object.assign(this.choices, event.choice ?? {});
        if (step.makes.includes('coolant-even') && step.kind === 'measure') {
          const uneven = notEven(this.coolant, this.values['shop.coolant-tolerance']?.quantity ?? null);
          claim(uneven === null, `${step.id}: ${uneven}`);
        }
        for (const one of wrongAfter(step, this.is, this.knows)) claim(false, one);
        this.visit = null;
        return;
      case 'step-closed':
        claim(
          step?.makes.every(this.stands) === true && step.makes.length > 0,
          `${event.step} closed unshown without ground`,
        );
        claim(
          step?.ends.every((id) => this.is(id) === 'gone') === true,
          `${event.step} closed unshown though it ends something`,
        );
        return;
      case 'looked':
        if (!event.found) for (const id of event.facts) this.set(id, 'gone');
        for (let left = event.facts.length; event.found && left > 0; left--) {
          const grounded = (id: string) =>
            (flow.facts.get(id)?.restOn ?? []).every((on) => !['doubt', 'gone'].includes(this.is(on)));
          for (const id of event.facts) if (this.is(id) === 'doubt' && grounded(id)) this.set(id, 'stands');
        }
        this.visit = null;
        return;
      case 'doubted':
        return this.doubted(line, event, later, claim);
      case 'undone':
        claim(
          event.facts.every((id) => (flow.facts.get(id)?.undoneBy.length ?? 0) > 0),
          'undone what cannot be undone',
        );
        for (const id of event.facts) this.set(id, 'gone');
        return;
      case 'alarmed':
        claim(
          event.facts.every((id) =>
            flow.steps.some((step) => step.id === event.step && step.alarm.includes(id)),
          ),
          'alarmed what no alarm ends',
        );
        for (const id of event.facts) this.set(id, 'gone');
        return;
      case 'balance-left': {
        const alarms = later.some((one) => one.type === 'alarmed' && one.facts.includes('coolant-kept'));
        claim(this.mode === 'held' && event.by !== this.holder, `${event.by} left the balance as not known`);
        claim(alarms || !this.knows('coolant-kept'), 'the balance was left and cost no insulation test');
        this.coolant.left();
        return;
      }
      case 'deadline-passed':
        claim(
          this.is(event.fact) === 'stands' && (this.instant.get(event.fact) ?? 0) <= this.now,
          `${event.fact} ran out too early`,
        );
        return this.set(event.fact, 'gone');
      case 'clock-due':
        claim(
          this.is(event.fact) === 'running' && (this.instant.get(event.fact) ?? Number.NaN) <= this.now,
          `${event.fact} due too early`,
        );
        return this.set(event.fact, 'stands');
      case 'clock-moved':
        for (const { fact, at } of event.changes) {
          claim(
            (at ?? 0) > (this.instant.get(fact) ?? 0) === (flow.facts.get(fact)?.clock === 'after'),
            `${fact} moved to the bold side`,
          );
          this.instant.set(fact, at ?? 0);
          if (flow.facts.get(fact)?.clock === 'after')
            this.set(fact, (at ?? 0) > this.now ? 'running' : 'stands');
        }
        return;
      case 'holder-changed':
        claim(!this.underWay(), 'handed over where there is no stopping');
        this.holder = event.to;
        this.visit = null;
        this.heardAt = event.at;
        for (const fact of flow.facts.values()) if (fact.personal) this.set(fact.id, 'gone');
        return;
      case 'parking-begun':
        claim(!this.underWay(), 'parked where there is no stopping');
        for (const fact of flow.facts.values())
          if (fact.opening) this.choices[`open:${fact.id}`] = this.is(fact.id) === 'gone' ? 'no' : 'yes';
        this.visit = null;
        return;
      case 'mode-changed':
        if (['paused', 'handing-over', 'parking', 'parked'].includes(event.to))
          claim(!this.underWay(), `${event.to} where there is no stopping`);
        this.mode = event.to;
        this.visit = null;
        return;
      case 'job-ended': {
        const open = [...flow.facts.values()].filter(
          (fact) => fact.opening && this.is(fact.id) !== 'gone' && !flow.leaves.includes(fact.id),
        );
        claim(
          event.how === 'called-off' || open.length === 0,
          `done with ${open.map((fact) => fact.id).join(', ')} open`,
        );
        this.ended = true;
        return;
      }
      case 'steps-reopened':
        if (event.because === 'correction') this.coolant.corrected(event.forStep);
        this.visit = null;
        return;
      case 'look-asked':
      case 'visit-ended':
      case 'waiting':
      case 'parking-ended':
      case 'value-missing':
        this.visit = null;
    }
  }

  private doubted(
    line: Line,
    event: Event & { type: 'doubted' },
    later: readonly Event[],
    claim: (holds: boolean, problem: string) => void,
  ): void {
    const facts = [...this.flow.facts.values()];
    const lapsing = (on: string) =>
      facts.filter((fact) => fact.lapse.on.some((cause) => cause === on)).map((fact) => fact.id);
    if (ALL.has(event.cause)) for (const fact of facts) this.doubt(fact.id);
    else if (event.cause === 'silence') {
      const changed = event.changes.flatMap(({ fact }) => this.flow.facts.get(fact) ?? []);
      const quiet = changed
        .filter((fact) => fact.lapse.silenceMinutes !== null && this.is(fact.id) === 'stands')
        .slice(0, 1);
      claim(quiet.length === 1, 'silence put something in doubt that it does not touch');
      for (const fact of quiet) {
        claim(
          this.now >= this.heardAt + (fact.lapse.silenceMinutes ?? 0) * MINUTE,
          `${fact.id} lapsed by silence too early`,
        );
        this.doubt(fact.id);
      }
    } else if (event.cause === 'correction') {
      const opened = later.find((one) => one.type === 'steps-reopened');
      const id = opened?.type === 'steps-reopened' ? opened.forStep : '';
      for (const fact of this.steps.get(id)?.makes ?? []) this.doubt(fact);
    } else if (event.cause === 'tester-failed') {
      // Two groups, one after the other: each as it was touched.
      const touched = new Set(event.changes.map(({ fact }) => fact));
      for (const on of ['tester', 'gear'])
        if (lapsing(on).some((id) => touched.has(id)))
          for (const id of lapsing(on)) if (touched.has(id)) this.doubt(id);
      const last = !later.some((one) => one.type === 'doubted' && one.cause === 'tester-failed');
      const left = ['tester', 'gear']
        .flatMap(lapsing)
        .filter((id) => !['doubt', 'gone'].includes(this.is(id)));
      claim(!last || left.length === 0, `the tester failed and ${left.join(', ')} stands`);
    } else if (event.cause === 'away' || event.cause === 'elsewhere') {
      // Whom a notice was about does not stand in the line, so it is whoever's proofs went all.
      const touched = new Set(event.changes.map(({ fact }) => fact));
      const all = (on: string) =>
        lapsing(on).every((id) => touched.has(id) || ['doubt', 'gone'].includes(this.is(id)));
      const who = (on: string) =>
        event.cause === 'away' ? (line.by === this.standby) === (on === 'standby') : all(on);
      for (const on of ['standby', event.cause]) if (who(on)) for (const id of lapsing(on)) this.doubt(id);
    } else for (const id of lapsing(OFF[event.cause] ?? event.cause)) this.doubt(id);
  }

  /** Whether the very input was the word: exact, of this visit, the holder's, unmarked, new, and after the prompt was seen. */
  private mayPass(job: string, visit: Visit, sent: Sent | null): boolean {
    if (sent === null || !sent.first || visit.word === null) return false;
    const { body, marks, by, seen } = sent.input;
    if (body.is !== 'text' || Object.keys(marks).length > 0 || by !== this.holder) return false;
    const said = body.text
      .normalize('NFC')
      .replace(/\s+/g, ' ')
      .replace(/^[ .,;:!]+|[ .,;:!]+$/g, '');
    const place = this.placeOf(`${job}:${visit.seq}:bay`);
    if (!/^[A-Za-z]+$/.test(said) || said.toUpperCase() !== visit.word.toUpperCase()) return false;
    return (
      place !== null && seen !== null && seen >= place && visit.answers.length === visit.step.asks.length - 1
    );
  }

  /** Where the live job differs from what was worked out here. */
  differences(job: Job): string[] {
    const wrong: string[] = [];
    for (const fact of this.flow.facts.values()) {
      const live = job.facts[fact.id];
      const { id } = fact;
      if ((live?.value ?? 'gone') !== this.is(id))
        wrong.push(`${id} is ${live?.value ?? 'gone'}, worked out ${this.is(id)}`);
      if (fact.kind !== 'clock' || this.is(id) === 'gone') continue;
      // The cure's own formula is tested against published rows; here its instant is taken over.
      const cure = fact.time !== null && !('value' in fact.time) && fact.time.name.startsWith('cure-');
      if (cure) this.instant.set(id, live?.at ?? 0);
      else if (live?.at !== this.instant.get(id))
        wrong.push(`${id} is at ${live?.at}, worked out ${this.instant.get(id)}`);
    }
    if (
      job.holder !== this.holder ||
      job.standby !== this.standby ||
      job.mode !== (this.ended ? job.mode : this.mode)
    )
      wrong.push(
        `${job.holder}, ${job.standby}, ${job.mode}; worked out ${this.holder}, ${this.standby}, ${this.mode}`,
      );
    return wrong;
  }
}
