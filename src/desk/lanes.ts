import type { Input } from '../job/input.js';
import type { Job } from '../job/job.js';
import type { World } from '../job/world.js';
import { Lane } from './lane.js';

/** The lanes of all bays. */
export class Lanes {
  private readonly lanes = new Map<string, Lane>();

  constructor(private readonly work: (lane: Lane, input: Input | null) => Promise<void>) {}

  get byBay(): ReadonlyMap<string, Lane> {
    return this.lanes;
  }

  /** The lane of a bay, made when there is none: nothing that is said may vanish because nobody knows the bay. */
  of(bay: string): Lane {
    let lane = this.lanes.get(bay);
    if (lane === undefined) {
      lane = new Lane(bay, this.work);
      this.lanes.set(bay, lane);
    }
    return lane;
  }

  /** The job under way on a car, a parked one too; null when there is none. */
  onCar(registration: string): Job | null {
    const jobs = [...this.lanes.values()].flatMap((lane) => lane.job ?? []);
    return jobs.find((job) => job.endedAt === null && job.car.registration === registration) ?? null;
  }

  /** Those for which time has something to do by `now`. */
  due(now: number, settings: World['settings']): readonly Lane[] {
    return [...this.lanes.values()].filter((lane) => (lane.wake(settings) ?? now + 1) <= now);
  }

  /** When time will next do something in any of them, ms since 1970. */
  nextWake(settings: World['settings']): number | null {
    const at = [...this.lanes.values()].flatMap((lane) => lane.wake(settings) ?? []);
    return at.length === 0 ? null : Math.min(...at);
  }

  /** Settles when nothing is under way in any of them, what they tell each other included. */
  async idle(): Promise<void> {
    const all = () => [...this.lanes.values()];
    while (all().some((lane) => lane.isBusy)) await Promise.all(all().map((lane) => lane.idle()));
  }
}
