import type { Line } from '../../../talk/post.js';

type Instant = Exclude<Line[number], string>;

const formats = new Map<string, Intl.DateTimeFormat>();

function format(zone: string, as: Instant['as']): Intl.DateTimeFormat {
  const name = `${zone} ${as}`;
  const known = formats.get(name);
  if (known !== undefined) return known;
  const made = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    ...(as === 'date'
      ? { year: 'numeric', month: '2-digit', day: '2-digit' }
      : {
          hour: '2-digit',
          minute: '2-digit',
          hourCycle: 'h23',
          ...(as === 'day-time' ? { weekday: 'short', day: 'numeric', month: 'short' } : {}),
        }),
  });
  formats.set(name, made);
  return made;
}

/** `14:05`, `Tue 3 Mar 08:20`, `2034-03-02`, in the workshop's zone whatever the phone is set to. */
export function printInstant(instant: number, as: Instant['as'], zone: string): string {
  const part = new Map(
    format(zone, as)
      .formatToParts(instant)
      .map(({ type, value }) => [type, value]),
  );
  const time = `${part.get('hour')}:${part.get('minute')}`;
  if (as === 'time') return time;
  if (as === 'date') return `${part.get('year')}-${part.get('month')}-${part.get('day')}`;
  return `${part.get('weekday')} ${part.get('day')} ${part.get('month')} ${time}`;
}

const FAR_MS = 8 * 3_600_000;

/** An instant with its day where the time alone could be taken for another day's. */
export function printNear(instant: number, now: number, zone: string): string {
  return printInstant(instant, Math.abs(instant - now) > FAR_MS ? 'day-time' : 'time', zone);
}

/** What is left or gone, for a running clock: `4:07`, `1 h 12 min`, `2 d 3 h`. Never negative. */
export function printSpan(ms: number): string {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  const minutes = Math.floor(seconds / 60);
  if (minutes < 60) return `${minutes}:${String(seconds % 60).padStart(2, '0')}`;
  const hours = Math.floor(minutes / 60);
  if (hours < 24) return `${hours} h ${minutes % 60} min`;
  return `${Math.floor(hours / 24)} d ${hours % 24} h`;
}

/** How long something has stood, in whole minutes: `just now`, `12 min`, `3 h 5 min`. */
export function printAge(ms: number): string {
  const minutes = Math.max(0, Math.floor(ms / 60_000));
  if (minutes < 1) return 'just now';
  if (minutes < 60) return `${minutes} min`;
  return printSpan(ms);
}
