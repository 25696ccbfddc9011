import type { Place } from '../../job/input.js';

/** The platform's time stamp of a message, `seconds.micros`. */
export type Stamp = string;

const SECONDS = 12;

/** A stamp as a place: padded, so that places compare as text whatever the century. */
export function placeOf(stamp: Stamp): Place {
  const [seconds = '', micros = ''] = stamp.split('.');
  return `${seconds.padStart(SECONDS, '0')}.${micros.padEnd(6, '0')}`;
}

/** The stamp of a place that `placeOf` made. */
export function stampOf(place: Place): Stamp {
  return place.replace(/^0+(?=\d)/, '');
}

/** The instant of a stamp, whole ms since 1970. */
export function instantOf(stamp: Stamp): number {
  return Math.floor(Number(stamp) * 1000);
}

/** The first stamp of an instant, ms since 1970. */
export function stampAt(instant: number): Stamp {
  const ms = Math.max(0, Math.floor(instant));
  return `${Math.floor(ms / 1000)}.${String((ms % 1000) * 1000).padStart(6, '0')}`;
}
