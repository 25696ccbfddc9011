import { dateAt, type Opening, type WorkDay, workDay } from '../shop/hours.js';
import { addDays as shifted } from '../trade/dates.js';

/** The two posts of a working day: at closing time and at opening time. */
export const DAY_POSTS = ['day', 'morning'] as const;
export type DayPost = (typeof DAY_POSTS)[number];

/** A post that was made for a working day, `YYYY-MM-DD`. */
export type DoneDay = { readonly post: DayPost; readonly date: string };

/** A post that is to be made. */
export type DuePost = DoneDay & {
  /** The hour that it stands for, ms since 1970. */
  readonly at: number;
  /** It comes so much later that it has to say for which hour it stands. */
  readonly late: boolean;
  /** Working days before it whose post was never made, and never will be. */
  readonly missed: readonly string[];
};

/** What is to be done now: posts to be made, and days that the clock was wrong about. */
export type DayDue = { readonly posts: readonly DuePost[]; readonly void: readonly DoneDay[] };

/** No workshop is closed for longer than this, in days. */
const LONGEST_CLOSED = 40;
const LATE_MS = 5 * 60_000;
/**
 * A day that is done though its hour lies further ahead than this was done by a clock that stood wrong. Below it the
 * clock was corrected a little after the post: it is not made a second time.
 */
const WRONG_CLOCK_MS = 12 * 3_600_000;

/**
 * Which of the day's posts are due: the last closing time and the last opening time that have passed, unless their post
 * was made. A morning post whose day is over is not made any more. `since`: where no earlier post
 * of a kind was ever made, only hours after this instant count.
 */
export function dayPostsDue(now: number, opening: Opening, done: readonly DoneDay[], since: number): DayDue {
  const wrong = done.filter((one) => hourOf(opening, one) - now > WRONG_CLOCK_MS);
  const right = done.filter((one) => !wrong.includes(one));
  const posts = DAY_POSTS.flatMap((post): DuePost[] => {
    const own = right.filter((one) => one.post === post).map(({ date }) => date);
    const last = lastDay(opening, post, now);
    if (last === null || own.includes(last.date)) return [];
    if (post === 'morning' && now >= last.closesAt) return [];
    const at = hour(last, post);
    // Nothing is made up for a day on which nobody was here yet, or that a clock put back comes to again.
    if (at <= since && !own.some((date) => date < last.date)) return [];
    const missed = missedBefore(opening, last.date, own);
    return [{ post, date: last.date, at, late: now - at > LATE_MS, missed }];
  });
  return { posts: posts.toSorted((a, b) => a.at - b.at), void: wrong };
}

/** When the next opening or closing time comes after an instant; null where the workshop never opens. */
export function nextDayPost(now: number, opening: Opening): number | null {
  const today = dateAt(opening.zone, now);
  for (let ahead = -1; ahead <= LONGEST_CLOSED; ahead++) {
    const day = workDay(opening, shifted(today, ahead));
    const hours = day === null ? [] : [day.opensAt, day.closesAt].filter((at) => at > now);
    // Shifts do not overlap: no later day opens before this one has closed.
    if (hours.length > 0) return Math.min(...hours);
  }
  return null;
}

/** The closing time before a working day's own: what happened since then belongs to that day. */
export function closedBefore(opening: Opening, date: string): number {
  for (let back = 1; back <= LONGEST_CLOSED; back++) {
    const day = workDay(opening, shifted(date, -back));
    if (day !== null) return day.closesAt;
  }
  return workDay(opening, date)?.opensAt ?? 0;
}

/** The last working day whose hour has come; null where there was none for long. */
export function lastDay(opening: Opening, post: DayPost, now: number): WorkDay | null {
  const today = dateAt(opening.zone, now);
  for (let back = 0; back <= LONGEST_CLOSED; back++) {
    const day = workDay(opening, shifted(today, -back));
    if (day !== null && hour(day, post) <= now) return day;
  }
  return null;
}

/** The first working day that opens after an instant; null where none does for long. */
export function nextOpening(opening: Opening, now: number): WorkDay | null {
  const today = dateAt(opening.zone, now);
  for (let ahead = 0; ahead <= LONGEST_CLOSED; ahead++) {
    const day = workDay(opening, shifted(today, ahead));
    if (day !== null && day.opensAt > now) return day;
  }
  return null;
}

function hour(day: WorkDay, post: DayPost): number {
  return post === 'day' ? day.closesAt : day.opensAt;
}

/** The hour of a day that is done; one that is no working day any more has no hour to be wrong about. */
function hourOf(opening: Opening, { post, date }: DoneDay): number {
  const day = workDay(opening, date);
  return day === null ? Number.NEGATIVE_INFINITY : hour(day, post);
}

/** Working days between the last one done and this one. */
function missedBefore(opening: Opening, date: string, own: readonly string[]): readonly string[] {
  const missed: string[] = [];
  for (let back = 1; back <= LONGEST_CLOSED; back++) {
    const day = shifted(date, -back);
    if (own.includes(day)) return missed;
    if (workDay(opening, day) !== null) missed.unshift(day);
  }
  // The last one done lies further back than that, or ahead of a clock that was put back: nothing is known of missing.
  return own.some((one) => one < date) ? missed : [];
}
