/**
 * Will the car stay on the lift when a heavy part leaves it, and is the table up to the part?
 *
 *     x' = (M·x − m·xm) / (M − m)      rear pads = M'·(x' − xf) / (xr − xf)      front pads = M' − rear
 *
 * Statics of a beam on two supports; x in metres behind the front axle, y in metres right of the middle. Holds for a level,
 * still car on four equal pads, nobody and nothing loose in it. Masses and positions come from the vehicle profile and the
 * lift's plate, never from here. It says what the sum says; the look at four pads a hand's width up stays.
 */
import { notPositive, type Refused, refuse } from './refused.js';

/** A car or a part: its mass and where its centre of gravity is. `yM` is 0 where it is not given. */
export type Load = { readonly massKg: number; readonly xM: number; readonly yM?: number };

export type Pads = {
  readonly frontM: number;
  readonly rearM: number;
  /** Half the distance between left and right pads; null where unknown: then both of a pair are taken as equal. */
  readonly halfTrackM: number | null;
  readonly padRatingKg: number;
  readonly liftRatingKg: number;
};

/** How the car stands: with everything on, or after a part has left. */
export type Standing = {
  readonly massKg: number;
  readonly xM: number;
  readonly yM: number;
  readonly frontKg: number;
  readonly rearKg: number;
  /** The most that a single pad carries. */
  readonly heaviestPadKg: number;
  /** From the centre of gravity to the nearer pad line; negative when it is outside. */
  readonly marginM: number;
  readonly tipsTo: 'front' | 'rear';
};

export const LIFT_REFUSALS = [
  'tips-forward',
  'tips-backward',
  'tips-sideways',
  'margin-too-small',
  'over-pad-rating',
  'over-lift-rating',
] as const;
export type LiftRefusal = (typeof LIFT_REFUSALS)[number];

export type Balanced = {
  readonly ok: true;
  /** First with all on, then after each part has left, in their order. */
  readonly standings: readonly [Standing, ...Standing[]];
  /** How far the centre of gravity has moved in all: + to the rear, + to the right. */
  readonly shiftM: { readonly x: number; readonly y: number };
};

/** Refused as it stands after `after` parts have left; the figures so far for the person who must decide. */
export type Unbalanced = Refused<LiftRefusal> & {
  readonly after: number;
  readonly standings: readonly Standing[];
};
export type LiftInputRefused = Refused<'not-positive' | 'not-a-number' | 'bad-pads' | 'part-too-heavy'>;

/** Mass and centre of gravity from the axle loads: x = rear · wheelbase / (front + rear). All above 0. */
export function carOf(axles: {
  readonly frontKg: number;
  readonly rearKg: number;
  readonly wheelbaseM: number;
}): { readonly ok: true; readonly car: Load } | Refused<'not-positive'> {
  const fault = notPositive(axles);
  if (fault) return fault;
  const massKg = axles.frontKg + axles.rearKg;
  return { ok: true, car: { massKg, xM: (axles.rearKg * axles.wheelbaseM) / massKg, yM: 0 } };
}

/**
 * The car on its pads before and after each part leaves, in order. Refused when, at any point, a pair of pads would be
 * unloaded, the centre of gravity comes nearer to a pad line than `leastMarginM`, a pad carries more than its rating
 * (a pair more than twice that where the track is unknown) or all of it more than the lift's.
 * Valid: masses and ratings above 0, rear pads behind front pads, parts lighter together than the car.
 */
export function balanceOnLift(asked: {
  readonly car: Load;
  readonly pads: Pads;
  readonly parts: readonly Load[];
  readonly leastMarginM: number;
}): Balanced | Unbalanced | LiftInputRefused {
  const { car, pads, parts, leastMarginM } = asked;
  const fault = inputFault(car, pads, parts, leastMarginM);
  if (fault) return fault;
  const first = standingOf(car, pads);
  const standings: [Standing, ...Standing[]] = [first];
  let left = car;
  for (const part of parts) {
    left = without(left, part);
    standings.push(standingOf(left, pads));
  }
  for (const [after, standing] of standings.entries()) {
    const why = fallFault(standing, pads, leastMarginM);
    if (why) return { ...why, after, standings };
  }
  const last = standings.at(-1) ?? first;
  return { ok: true, standings, shiftM: { x: last.xM - first.xM, y: last.yM - first.yM } };
}

function without(car: Load, part: Load): Load {
  const massKg = car.massKg - part.massKg;
  const at = (of: number, gone: number) => (car.massKg * of - part.massKg * gone) / massKg;
  return { massKg, xM: at(car.xM, part.xM), yM: at(car.yM ?? 0, part.yM ?? 0) };
}

function standingOf({ massKg, xM, yM = 0 }: Load, { frontM, rearM, halfTrackM }: Pads): Standing {
  const rearKg = tidy((massKg * (xM - frontM)) / (rearM - frontM));
  const frontKg = tidy(massKg - rearKg);
  const [toFront, toRear] = [tidy(xM - frontM), tidy(rearM - xM)];
  const side = halfTrackM === null ? 0 : Math.abs(yM) / halfTrackM;
  return {
    massKg,
    xM,
    yM,
    frontKg,
    rearKg,
    heaviestPadKg: tidy((Math.max(frontKg, rearKg) / 2) * (1 + side)),
    marginM: Math.min(toFront, toRear),
    tipsTo: toFront < toRear ? 'front' : 'rear',
  };
}

function fallFault(standing: Standing, pads: Pads, leastMarginM: number): Refused<LiftRefusal> | null {
  const { massKg, frontKg, rearKg, heaviestPadKg, marginM, yM } = standing;
  if (rearKg <= 0) return refuse('tips-forward', 'rearKg', rearKg, 0);
  if (frontKg <= 0) return refuse('tips-backward', 'frontKg', frontKg, 0);
  if (pads.halfTrackM !== null && Math.abs(yM) >= pads.halfTrackM) {
    return refuse('tips-sideways', 'yM', yM, pads.halfTrackM);
  }
  if (marginM < leastMarginM) return refuse('margin-too-small', 'marginM', marginM, leastMarginM);
  if (heaviestPadKg > pads.padRatingKg) {
    return refuse('over-pad-rating', 'heaviestPadKg', heaviestPadKg, pads.padRatingKg);
  }
  return massKg > pads.liftRatingKg ? refuse('over-lift-rating', 'massKg', massKg, pads.liftRatingKg) : null;
}

function inputFault(
  car: Load,
  pads: Pads,
  parts: readonly Load[],
  leastMarginM: number,
): LiftInputRefused | null {
  const fault = notPositive({
    massKg: car.massKg,
    padRatingKg: pads.padRatingKg,
    liftRatingKg: pads.liftRatingKg,
  });
  if (fault) return fault;
  for (const part of parts) {
    const nothing = notPositive({ partMassKg: part.massKg });
    if (nothing) return nothing;
  }
  for (const { xM, yM = 0 } of [car, ...parts]) {
    if (!Number.isFinite(xM)) return refuse('not-a-number', 'xM', xM);
    if (!Number.isFinite(yM)) return refuse('not-a-number', 'yM', yM);
  }
  if (!(leastMarginM >= 0)) return refuse('not-a-number', 'leastMarginM', leastMarginM, 0);
  if (!(Number.isFinite(pads.frontM) && Number.isFinite(pads.rearM) && pads.frontM < pads.rearM)) {
    return refuse('bad-pads', 'rearM', pads.rearM, pads.frontM);
  }
  if (pads.halfTrackM !== null && !(pads.halfTrackM > 0))
    return refuse('bad-pads', 'halfTrackM', pads.halfTrackM, 0);
  const gone = parts.reduce((sum, part) => sum + part.massKg, 0);
  return gone >= car.massKg ? refuse('part-too-heavy', 'partMassKg', gone, car.massKg) : null;
}

/** Takes the dust of binary arithmetic off, so that a value on a limit is on it. */
function tidy(value: number): number {
  return Math.round(value * 1e9) / 1e9;
}
