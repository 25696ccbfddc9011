/**
 * In which order bolts are tightened. The maker's own order always comes first; these are for where he names a pattern.
 *
 * Cross: each bolt is followed by the one opposite, then by the pair half-way between, and so on; the recursion gives the
 * legacy cross-pattern table of ASME PCC-1 (from memory) for 4, 8, 12 and 16 bolts. Odd rings, which have no opposite,
 * go on by just under half a turn. Spiral and centre-out: from the middle outwards, so that a wide cover lies down
 * without a fold (general practice). Every order holds each bolt exactly once.
 */
import { type Refused, refuse } from './refused.js';

export const PATTERNS = ['cross', 'spiral'] as const;
export type Pattern = (typeof PATTERNS)[number];

/** Numbers from 1, in the order of tightening. */
export type Order = readonly number[];
export type Ordered = { readonly ok: true; readonly order: Order } | Refused<'bad-count' | 'bad-position'>;

/** Where a bolt sits on a cover, mm right and up from any origin. */
export type BoltAt = { readonly xMm: number; readonly yMm: number };

/** More on one cover is a slip of the thumb. Common practice, no source. */
const MOST_BOLTS = 200;

/** Cross order on a round or rectangular ring whose bolts are numbered clockwise. Valid: 1 to 200 bolts. */
export function crossOrder(bolts: number): Ordered {
  return countFault('bolts', bolts) ?? { ok: true, order: star(bolts) };
}

/**
 * Spiral order on a grid numbered row by row from the top left: from the middle outwards, ring by ring, each ring
 * clockwise from its top left. Valid: whole columns and rows, 1 to 200 bolts in all.
 */
export function spiralOrder(columns: number, rows: number): Ordered {
  const fault =
    countFault('columns', columns) ?? countFault('rows', rows) ?? countFault('bolts', columns * rows);
  if (fault) return fault;
  // Twice the distance from the middle keeps grids with an even side in whole numbers.
  const [wide, high] = [columns - 1, rows - 1];
  const bolts = Array.from({ length: columns * rows }, (_, i) => {
    const [x, y] = [2 * (i % columns) - wide, 2 * Math.floor(i / columns) - high];
    const ring = Math.max(Math.abs(x), Math.abs(y));
    const start = Math.atan2(-Math.min(ring, high), -Math.min(ring, wide));
    return { number: i + 1, ring, turn: fullTurn(Math.atan2(y, x) - start) };
  });
  bolts.sort((a, b) => a.ring - b.ring || a.turn - b.turn || a.number - b.number);
  return { ok: true, order: bolts.map((bolt) => bolt.number) };
}

/**
 * Order on a cover whose bolts lie anywhere, numbered as listed: nearest to the centre of the outline first, each followed
 * by the bolt nearest to the point opposite, if one is left on that side; equals from the top, then from the left.
 * A design rule, not a quotation. Valid: 1 to 200 finite positions.
 */
export function centreOutOrder(bolts: readonly BoltAt[]): Ordered {
  const fault = countFault('bolts', bolts.length);
  if (fault) return fault;
  const lost = bolts.findIndex(({ xMm, yMm }) => !Number.isFinite(xMm) || !Number.isFinite(yMm));
  if (lost >= 0) return refuse('bad-position', 'bolts', lost + 1);
  const middle = { x: middleOf(bolts.map((bolt) => bolt.xMm)), y: middleOf(bolts.map((bolt) => bolt.yMm)) };
  const left = bolts.map(({ xMm, yMm }, i) => {
    const [x, y] = [xMm - middle.x, yMm - middle.y];
    // Tenths of a millimetre: what the drawing calls equal stays equal.
    return { number: i + 1, x, y, away: Math.round(10 * Math.hypot(x, y)) };
  });
  left.sort((a, b) => a.away - b.away || b.y - a.y || a.x - b.x || a.number - b.number);
  const order: number[] = [];
  while (left.length > 0) {
    const next = left.shift();
    if (!next) break;
    order.push(next.number);
    const gap = (bolt: { x: number; y: number }) => Math.hypot(bolt.x + next.x, bolt.y + next.y);
    const across = left.filter((bolt) => bolt.x * next.x + bolt.y * next.y < 0);
    const opposite = across.sort((a, b) => gap(a) - gap(b))[0];
    if (!opposite) continue;
    order.push(opposite.number);
    left.splice(left.indexOf(opposite), 1);
  }
  return { ok: true, order };
}

/**
 * The order for a pattern where only the number of bolts is known. Cross: a ring numbered clockwise. Spiral: two rows of
 * equal length numbered row by row, or a single row where the number is odd. Valid: 1 to 200 bolts.
 */
export function orderOf(pattern: Pattern, bolts: number): Ordered {
  const fault = countFault('bolts', bolts);
  if (fault) return fault;
  if (pattern === 'cross') return crossOrder(bolts);
  return bolts % 2 === 0 ? spiralOrder(bolts / 2, 2) : spiralOrder(bolts, 1);
}

/**
 * All passes over the bolts: one in pattern order for each stage, then `rounds` at full torque in number order until none
 * moves (a public gasket guide: at least one). Valid: 1 to 10 stages, 0 to 10 rounds.
 */
export function passesOf(
  order: Order,
  stages: number,
  rounds: number,
): { readonly ok: true; readonly passes: readonly Order[] } | Refused<'bad-count'> {
  if (!(Number.isInteger(stages) && stages >= 1 && stages <= 10))
    return refuse('bad-count', 'stages', stages, 10);
  if (!(Number.isInteger(rounds) && rounds >= 0 && rounds <= 10))
    return refuse('bad-count', 'rounds', rounds, 10);
  const round = [...order].sort((a, b) => a - b);
  return { ok: true, passes: [...Array(stages).fill(order), ...Array(rounds).fill(round)] };
}

/** Even: the star of half as many, each followed by its opposite. Odd: on by just under half a turn, which visits all. */
function star(bolts: number): number[] {
  const half = Math.floor(bolts / 2);
  if (bolts % 2 === 0) return star(half).flatMap((bolt) => [bolt, bolt + half]);
  return Array.from({ length: bolts }, (_, i) => ((i * half) % bolts) + 1);
}

/** An angle from 0 up to a full turn; with y down it grows clockwise. */
function fullTurn(angle: number): number {
  const [turn, dust] = [2 * Math.PI, 1e-9];
  const once = angle < -dust ? angle + turn : angle;
  return once > turn - dust ? once - turn : once;
}

function middleOf(values: readonly number[]): number {
  return (Math.min(...values) + Math.max(...values)) / 2;
}

function countFault(what: string, count: number): Refused<'bad-count'> | null {
  const real = Number.isInteger(count) && count >= 1 && count <= MOST_BOLTS;
  return real ? null : refuse('bad-count', what, count, count > MOST_BOLTS ? MOST_BOLTS : 1);
}
