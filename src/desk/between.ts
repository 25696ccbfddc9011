import { fold, foldAll } from '../job/fold.js';
import type { Input } from '../job/input.js';
import type { Job } from '../job/job.js';
import { KEYS_MS } from '../journal/recent.js';
import type { OpenJob } from '../journal/store.js';
import type { Clock } from './clock.js';
import type { Lane } from './lane.js';
import { goneElsewhere, noticesOf, type Sent } from './notices.js';

/** The channel that word from other bays comes through. */
export const DESK = 'desk';

/** So many lines at the end of a journal may have been said to nobody when the power went. */
export const UNTOLD_LINES = 64;

/** Word from one bay to the others, and who was heard in which bay last. */
export class Between {
  private readonly whereabouts = new Map<string, string>();
  /** Word for other bays that could not be kept yet. */
  private readonly unheard: { readonly lane: Lane; readonly input: Input }[] = [];

  constructor(
    private readonly lanes: ReadonlyMap<string, Lane>,
    private readonly clock: Clock,
  ) {}

  /** Tells the other bays what concerns them of a line of this job. */
  notify(lane: Lane, job: Job, seq: number, notices: readonly Sent[]): void {
    notices.forEach(({ to, notice }, at) => {
      for (const other of this.lanes.values()) {
        if (other === lane || other.job === null || !to(other.job)) continue;
        const key = `${job.id}:${seq}:notice${at}:${other.bay}`;
        this.pass(other, noticeInput(other.bay, key, this.clock.now(), notice));
      }
    });
  }

  /** Smoke or fire where there is no job is told to every bay with one. */
  tellDanger(lane: Lane, key: string, danger: string | null): void {
    if (danger === null) return;
    const notice = { of: 'danger', bay: lane.bay, danger } as const;
    for (const other of this.lanes.values()) {
      if (other === lane || other.job === null) continue;
      this.pass(other, noticeInput(other.bay, `${key}:danger:${other.bay}`, this.clock.now(), notice));
    }
  }

  /** Tells every bay with such a job what came from no bay. */
  tellAll(key: string, notice: Sent['notice'], to: Sent['to']): void {
    for (const other of this.lanes.values()) {
      if (other.job === null || !to(other.job)) continue;
      this.pass(other, noticeInput(other.bay, `${key}:${other.bay}`, this.clock.now(), notice));
    }
  }

  /** Who is in this bay is not in another one any more. */
  wentTo(person: string, bay: string): void {
    const before = this.whereabouts.get(person);
    this.whereabouts.set(person, bay);
    if (before === bay) return;
    const lane = this.lanes.get(bay);
    if (lane?.job != null) this.notify(lane, lane.job, lane.seq, [goneElsewhere(person, bay)]);
  }

  /** Tries once more what other bays could not keep. */
  passAgain(): void {
    for (const { lane, input } of this.unheard.splice(0)) this.pass(lane, input);
  }

  /** After a start: what a crash may have kept from other bays is told them again; by its key they know it. */
  notifyAgain({ journal, state, job: id }: OpenJob, now: number): void {
    const from = Math.max(0, journal.lines.length - UNTOLD_LINES);
    let job = foldAll(id, journal.lines.slice(0, from));
    const lane = this.lanes.get(job.bay);
    if (lane === undefined || state !== 'good') return;
    for (const line of journal.lines.slice(from)) {
      job = fold(job, line);
      if (line.at <= now - KEYS_MS) continue;
      const sent = noticesOf(job, line.events).map(({ to, notice }) => ({
        to: (other: Job) => other.startedAt <= line.at && to(other),
        notice,
      }));
      this.notify(lane, job, line.seq, sent);
    }
  }

  /** After a start: where everybody was heard last, over all jobs in the order of the clock. */
  findPeople(jobs: readonly OpenJob[]): void {
    const heard = jobs.flatMap(({ journal }) => {
      const bay = foldAll('', journal.lines.slice(0, 1)).bay;
      return journal.lines.map(({ by, at, via }) => ({ by, at, via, bay }));
    });
    for (const { by, via, bay } of heard.sort((a, b) => a.at - b.at)) {
      if (via !== 'clock' && via !== DESK && bay !== '') this.whereabouts.set(by, bay);
    }
  }

  /** The other lane is not waited for: two lanes that told each other something would wait for ever. */
  private pass(lane: Lane, input: Input): void {
    void lane.add(input, input.saidAt).catch(() => {
      if (lane.shut === null && !this.unheard.some((one) => one.input.key === input.key))
        this.unheard.push({ lane, input });
    });
  }
}

function noticeInput(bay: string, key: string, now: number, notice: Sent['notice']): Input {
  return {
    key,
    bay,
    by: 'warden',
    name: 'warden',
    via: DESK,
    saidAt: now,
    seen: null,
    marks: {},
    body: { is: 'notice', notice },
  };
}
