import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import type { Flow } from '../../src/flow/flow.js';
import { loadFlows } from '../../src/flow/load.js';
import { begin, decide } from '../../src/job/decide.js';
import type { Event, Value } from '../../src/job/event.js';
import { emptyJob } from '../../src/job/evolve.js';
import { fold } from '../../src/job/fold.js';
import type { Heard } from '../../src/job/heard.js';
import { GLOBAL_WORDS } from '../../src/job/heard.js';
import type { Input } from '../../src/job/input.js';
import { wordsOf } from '../../src/job/input.js';
import type { Job } from '../../src/job/job.js';
import { startedEvent } from '../../src/job/start.js';
import { nextWake } from '../../src/job/time.js';
import { watchOpen } from '../../src/job/watch.js';
import type { World } from '../../src/job/world.js';
import type { RecordLine } from '../../src/record/line.js';
import { checkRegister } from '../../src/shop/register.js';
import { jobGround, worldOf } from '../../src/shop/world.js';
import { hear } from '../../src/talk/hear.js';
import type { Line, Post, Thread } from '../../src/talk/post.js';
import { say } from '../../src/talk/say.js';
import { parseQuantity } from '../../src/units/notation.js';
import type { Quantity } from '../../src/units/quantity.js';
import { type Crew, rightAnswer } from '../crew/crew.js';
import { demoTexts } from '../shop/folders.js';

const dir = new URL('../../flows/', import.meta.url);
const files = readdirSync(dir)
  .filter((name) => name.endsWith('.yaml'))
  .map((name) => ({ name, text: readFileSync(new URL(name, dir), 'utf8') }));
const { flows } = loadFlows(files, (text) => createHash('sha256').update(text).digest('hex'));

/** Every flow of the repository that has no fault. */
export const realFlows: readonly Flow[] = [...flows.values()];

const checked = checkRegister(demoTexts());
if (!checked.ok) throw new Error('the demo workshop has faults');
const { register } = checked;

/** Monday 2 March 2026, 08:00 in the demo workshop; printed as UTC in these tests. */
export const MORNING = Date.parse('2026-03-02T08:00:00Z');
const MINUTE = 60_000;

export const CREW: Crew = {
  foreman: 'orla',
  standby: 'tamsin',
  batch: [...register.sealants.keys()][0] ?? '',
  value: '10 min',
  readings: {
    'charge-state': '30 %',
    'cell-hottest': '24 °C',
    'cell-coldest': '23 °C',
    'insulation-before': '4 MΩ',
    'pad-front': '520 mm',
    'pad-rear': '1980 mm',
    'pack-skin': '21 °C',
    'air-temp': '21 °C',
    humidity: '45 %',
    'panel-temp': '21 °C',
    'tools-out': '12 pcs',
    'bolts-old': '10 pcs',
    'own-tools-out': '12 pcs',
    'own-bolts-old': '10 pcs',
    'air-pressure': '1000 mbar',
    'p-start': '30 mbar',
    't-start': '21 °C',
    'p-end': '29.9 mbar',
    't-end': '21 °C',
    'insulation-plus': '50 MΩ',
    'insulation-minus': '60 MΩ',
    'pack-temp': '21 °C',
    'coolant-temp': '22 °C',
    'table-rating': '1000 kg',
    bonding: '0.02 Ω',
    'bonding-current': '1 A',
    'tray-late': '0 ml',
    'tray-night': '0 ml',
    'coolant-in': '100 ml',
    'coolant-added': '20 ml',
    'frost-point': '-35 °C',
    vacuum: '-800 mbar',
    level: '20 mm',
  },
};

const stages = { quantity: null, text: '80 100', reference: 'manual 4.2', enteredBy: 'Orla Fenwick' };

function of(quantity: Quantity): Value {
  return { quantity, text: null, reference: 'manual 4.2', enteredBy: 'Orla Fenwick' };
}

/** A job that is walked without a desk: decide, fold, say. */
export class Bench {
  job: Job = emptyJob('DEMO-2603-001');
  now = MORNING;
  seq = 0;
  readonly lines: RecordLine[] = [];
  readonly events: Event[] = [];
  /** Every post so far with what it was said of. */
  readonly said: { readonly post: Post; readonly events: readonly Event[]; readonly job: Job }[] = [];

  constructor(
    readonly flow: Flow,
    readonly holder = 'mara',
    more: Job['values'] = {},
    without: readonly string[] = [],
  ) {
    const car = [...register.cars.keys()][0] ?? '';
    const ground = jobGround(register, car, '2');
    if (typeof ground === 'string') throw new Error(ground);
    const started = startedEvent(
      flow,
      {
        job: this.job.id,
        number: '2603-001',
        bay: '2',
        car: ground.car,
        zone: 'UTC',
        holder,
        values: Object.fromEntries(
          Object.entries({
            ...ground.values,
            'lift.id': { quantity: null, text: 'L2', reference: 'register', enteredBy: 'register' },
            'vehicle.cover-torque-stages': stages,
            'vehicle.joint-torque-stages': stages,
            'vehicle.tight-start': of({ value: 30, unit: 'mbar' }),
            'vehicle.insulation-test-voltage': of({ value: 500, unit: 'V' }),
            'shop.thermometer-error': of({ value: 0.1, unit: 'K' }),
            ...more,
          }).filter(([key]) => !without.includes(key)),
        ),
        choices: ground.choices,
      },
      this.world(),
    );
    this.line([started], '', holder);
    this.line(begin(this.job, flow, this.world()), '', 'warden');
  }

  world(): World {
    return worldOf(register, {
      now: this.now,
      elsewhere: new Map(),
      standbyElsewhere: new Map(),
      draw: 0.1,
    });
  }

  /** One journal line: fold, say, and the post stands. */
  line(events: readonly Event[], words: string, by: string): Post[] {
    this.seq++;
    const name = register.people.get(by)?.name ?? by;
    this.lines.push({ seq: this.seq, at: this.now, by, name, words, via: 'bench', events });
    this.events.push(...events);
    this.job = fold(this.job, { seq: this.seq, at: this.now, events });
    const posts = say(this.job, this.flow, events);
    for (const post of posts) this.said.push({ post, events, job: this.job });
    if (posts.some((post) => post.to === 'bay')) {
      const place = String(this.seq).padStart(6, '0');
      this.job = fold(this.job, { seq: this.seq, told: { line: this.seq, thread: 'bay', place } });
    }
    return posts;
  }

  /** Somebody says something, heard as the ask allows or as given. */
  says(by: string, words: string | Input['body'], heard?: Heard): Post[] {
    const body = typeof words === 'string' ? ({ is: 'text', text: words } as const) : words;
    const input: Input = {
      key: `k${this.seq}`,
      bay: '2',
      by,
      name: register.people.get(by)?.name ?? by,
      via: 'bench',
      saidAt: this.now,
      seen: String(this.seq).padStart(6, '0'),
      marks: {},
      body,
    };
    const text = wordsOf(input);
    // What is said at a watch is more than a bench can guess.
    const watched = watchOpen(this.job, this.flow) !== null;
    const understood = heard ?? (watched ? hear(this.job, this.flow, input) : heardAs(text));
    const events = decide(this.job, this.flow, { input, heard: understood }, this.world());
    return this.line(events, text, by);
  }

  /** Time goes by, wake-ups in their order. */
  later(byMinutes: number): Post[] {
    const end = this.now + byMinutes * MINUTE;
    const posts: Post[] = [];
    for (;;) {
      const wake = nextWake(this.job, this.flow, this.world());
      if (wake === null || wake > end) break;
      this.now = Math.max(this.now, wake);
      const events = decide(this.job, this.flow, 'time-passed', this.world());
      if (events.length === 0) break;
      posts.push(...this.line(events, '', 'warden'));
    }
    this.now = end;
    return posts;
  }

  /** A good crew goes on until this holds, or the job ends. */
  until(done: (job: Job) => boolean, most = 400): void {
    for (let turn = 0; turn < most; turn++) {
      if (done(this.job) || this.job.mode === 'done' || this.job.mode === 'called-off') return;
      if (this.job.checkIn?.askedAt != null && this.job.standby !== null) this.says(this.job.standby, 'here');
      const next = rightAnswer(this.job, this.flow, this.world(), CREW);
      if (next === null) {
        const wake = nextWake(this.job, this.flow, this.world());
        if (wake === null) throw new Error(`nobody says anything at ${this.job.asked?.step ?? 'nothing'}`);
        this.later((wake - this.now) / MINUTE);
        continue;
      }
      this.later(1);
      this.says(next.by, next.body);
    }
    if (!done(this.job)) throw new Error(`not reached; at ${this.job.asked?.step ?? this.job.mode}`);
  }

  untilStep(step: string): void {
    this.until((job) => job.asked?.what === 'step' && job.asked.step === step);
  }
}

const WORDS: ReadonlySet<string> = new Set(GLOBAL_WORDS);

/** Plain hearing for a bench: what people say here is never in doubt. */
function heardAs(text: string): Heard {
  const said = text.trim().toLowerCase();
  if (said === 'stop') return { heard: 'stop', danger: null };
  if (/^(smoke|fire)$/.test(said)) return { heard: 'stop', danger: said as 'smoke' | 'fire' };
  if (/^(ok|done|yes)$/.test(said)) return { heard: 'yes' };
  if (/^(no|problem)\b/.test(said)) return { heard: 'no', rest: said.replace(/^(no|problem)\s*/, '') };
  const two = /^(hand over|lock off|call off|catch up|lock removed)\b\s*(.*)$/.exec(said);
  if (two?.[1] !== undefined) {
    const word = two[1].replace(' ', '-') as 'hand-over';
    return { heard: 'word', word, rest: text.trim().slice(two[1].length).trim() };
  }
  const [first = ''] = said.split(/\s/);
  if (WORDS.has(first)) {
    return { heard: 'word', word: first as 'where', rest: text.trim().slice(first.length).trim() };
  }
  const unit = text.trim().split(' ').at(-1) ?? '';
  const numbers = [...text.matchAll(/-?\d+(?:\.\d+)?/g)].map(([number]) => Number(number));
  const quantity = parseQuantity(`1 ${unit}`);
  if (/^[-\d]/.test(said) && quantity !== null) {
    const of = numbers.map((value) => ({ value, unit: quantity.unit, bound: null }) as const);
    return { heard: 'readings', numbers: of };
  }
  if (/^\d+(\.\d+)?$/.test(said)) {
    return { heard: 'readings', numbers: [{ value: Number(said), unit: null, bound: null }] };
  }
  return { heard: 'choice', option: said };
}

/** A post as a channel would print it, instants in UTC. */
export function printed(post: Post | undefined): string {
  return (post?.lines ?? []).map(printLine).join('\n');
}

export function printLine(line: Line): string {
  return line
    .map((part) => {
      if (typeof part === 'string') return part;
      const iso = new Date(part.instant).toISOString();
      if (part.as === 'time') return iso.slice(11, 16);
      return part.as === 'date' ? iso.slice(0, 10) : `${iso.slice(0, 10)} ${iso.slice(11, 16)}`;
    })
    .join('');
}

/** What one thread was told. */
export function to(posts: readonly Post[], thread: Thread): string {
  return printed(posts.find((post) => post.to === thread));
}
