/**
 * What to pour into a coolant circuit so that it stands its winter.
 *
 *     mixed   c = Σ(cᵢ·Vᵢ) / ΣVᵢ                     replaced   c₁ = c₀ + (cₐ − c₀)·Vd/Vt,   n times: cₐ + (c₀ − cₐ)·(1 − Vd/Vt)ⁿ
 *     to drain   Vd = Vt·(cₜ − c₀)/(cₐ − c₀)
 *
 * Component balance on volumes, c in volume %. Volumes are taken as additive: glycol and water shrink by 1 to 2 % when mixed,
 * inside workshop accuracy. What is drained has the strength of what is in, and what is poured in mixes with all of it: so
 * run the pump, then read the frost point again. Ethylene and propylene glycol are never mixed: the frost point of a mixture
 * of both is in no table here, a refractometer reads it wrong, and their inhibitors are not made for each other.
 */
import { type Glycol, MOST_VOLUME_PERCENT, strengthFor } from './glycol.js';
import { notPositive, type Refused, refuse } from './refused.js';

/** Some coolant. `volumePercent` is of pure glycol: 0 is water, a concentrate is what its label says, seldom 100. */
export type Coolant = { readonly glycol: Glycol | 'water'; readonly volumePercent: number };

export type MixRefused = Refused<'mixed-glycols' | 'not-a-strength' | 'not-positive'>;

/** The strength of several poured together. Valid: one kind of glycol (and water), each above 0 ml, 0 to 100 volume %. */
export function mixed(
  parts: readonly (Coolant & { readonly ml: number })[],
): { readonly ok: true; readonly coolant: Coolant; readonly ml: number } | MixRefused {
  const fault =
    kindFault(parts) ?? parts.map((part) => notPositive({ ml: part.ml })).find((one) => one !== null);
  if (fault) return fault;
  const ml = parts.reduce((sum, part) => sum + part.ml, 0);
  if (ml === 0) return refuse('not-positive', 'ml', ml, 0);
  const volumePercent = tidy(parts.reduce((sum, part) => sum + part.ml * part.volumePercent, 0) / ml);
  const glycol = parts.find((part) => part.glycol !== 'water')?.glycol ?? 'water';
  return { ok: true, coolant: { glycol, volumePercent }, ml };
}

/**
 * Strength in volume % after draining so much of a full circuit and filling it with another, `rounds` times (1 where it is
 * not given). Valid: 0 to 100 volume %, a circuit above 0 ml, drained 0 ml up to all of it, 1 to 20 rounds.
 */
export function afterReplacing(asked: {
  readonly systemMl: number;
  readonly percent: number;
  readonly addPercent: number;
  readonly drainedMl: number;
  readonly rounds?: number;
}):
  | { readonly ok: true; readonly percent: number }
  | Refused<'not-a-strength' | 'not-positive' | 'bad-amount'> {
  const { systemMl, percent, addPercent, drainedMl, rounds = 1 } = asked;
  const fault = notPositive({ systemMl }) ?? strengthFault({ percent, addPercent });
  if (fault) return fault;
  if (!(drainedMl >= 0 && drainedMl <= systemMl))
    return refuse('bad-amount', 'drainedMl', drainedMl, systemMl);
  if (!(Number.isInteger(rounds) && rounds >= 1 && rounds <= 20))
    return refuse('bad-amount', 'rounds', rounds, 20);
  const stays = (1 - drainedMl / systemMl) ** rounds;
  return { ok: true, percent: tidy(addPercent + (percent - addPercent) * stays) };
}

/**
 * How much of a full circuit to drain and replace so that it comes to the target, up or down. `unreachable` when the
 * target does not lie between what is in and what is added. Valid as `afterReplacing`.
 */
export function drainFor(asked: {
  readonly systemMl: number;
  readonly percent: number;
  readonly addPercent: number;
  readonly targetPercent: number;
}):
  | { readonly ok: true; readonly drainMl: number }
  | Refused<'not-a-strength' | 'not-positive' | 'unreachable'> {
  const { systemMl, percent, addPercent, targetPercent } = asked;
  const fault = notPositive({ systemMl }) ?? strengthFault({ percent, addPercent, targetPercent });
  if (fault) return fault;
  if (targetPercent === percent) return { ok: true, drainMl: 0 };
  const part = (targetPercent - percent) / (addPercent - percent);
  // Infinite where both are alike, negative where it goes the other way, above 1 where even a full change falls short.
  if (!(part >= 0 && part <= 1)) return refuse('unreachable', 'targetPercent', targetPercent, addPercent);
  return { ok: true, drainMl: tidy(systemMl * part) };
}

export type TopUp = {
  readonly ok: true;
  readonly how: 'full' | 'top-up' | 'drain-and-fill';
  /** To drain before anything is poured in. */
  readonly drainMl: number;
  /** What then fills the room: so much of what is at hand, and so much water. */
  readonly addMl: number;
  readonly waterMl: number;
  /** Volume % of the two poured together: a premix of this strength does as well. Null where nothing is poured. */
  readonly premixPercent: number | null;
  /** What the circuit comes to, volume %; stronger than the target where it was too strong already. */
  readonly percent: number;
  readonly targetPercent: number;
};

export type TopUpRefused =
  | MixRefused
  | Refused<'above-freezing' | 'below-the-table' | 'bad-amount' | 'unreachable' | 'too-strong'>;

/**
 * How to fill a circuit to its volume so that its frost point is at `targetCelsius` or below: by filling the room with what
 * is at hand and water, and where that cannot do, by draining some first. Nothing is drained from a circuit that is strong
 * enough: it is filled with water as far as the target allows. Valid: circuit above 0 ml, 0 ml to all of it in there now,
 * at hand up to 100 volume %, target within the table of `glycol.ts`. Refused: the other glycol; `unreachable` when what is
 * at hand is itself not strong enough; `too-strong` when the result would lie above 60 mass %, where more protects less.
 */
export function topUpFor(asked: {
  readonly systemMl: number;
  readonly inside: { readonly ml: number; readonly glycol: Glycol; readonly volumePercent: number };
  readonly atHand: Coolant;
  readonly targetCelsius: number;
}): TopUp | TopUpRefused {
  const { systemMl, inside, atHand, targetCelsius } = asked;
  const fault = notPositive({ systemMl }) ?? kindFault([inside, atHand]);
  if (fault) return fault;
  if (!(inside.ml >= 0 && inside.ml <= systemMl))
    return refuse('bad-amount', 'inside.ml', inside.ml, systemMl);
  const target = strengthFor(inside.glycol, targetCelsius);
  if (!target.ok) return target;
  const want = target.volumePercent;
  const room = systemMl - inside.ml;
  /** Glycol still short of the target when the circuit is full, as ml of pure glycol. */
  const shortMl = (want * systemMl - inside.volumePercent * inside.ml) / 100;
  const hand = atHand.volumePercent;
  const needMl = shortMl <= 0 ? 0 : (shortMl * 100) / hand;
  const drains = tidy(needMl - room) > 0;
  if (drains && hand <= want) return refuse('unreachable', 'atHand', hand, want);
  const drainMl = drains ? (shortMl * 100 - hand * room) / (hand - inside.volumePercent) : 0;
  const addMl = drains ? room + drainMl : needMl;
  const pouredMl = room + drainMl;
  const left = inside.ml - drainMl;
  const percent = tidy((inside.volumePercent * left + hand * addMl) / systemMl);
  const most = MOST_VOLUME_PERCENT[inside.glycol];
  if (percent > most) return refuse('too-strong', 'percent', percent, most);
  return {
    ok: true,
    how: drains ? 'drain-and-fill' : tidy(room) > 0 ? 'top-up' : 'full',
    drainMl: tidy(drainMl),
    addMl: tidy(addMl),
    waterMl: tidy(pouredMl - addMl),
    premixPercent: tidy(pouredMl) > 0 ? tidy((hand * addMl) / pouredMl) : null,
    percent,
    targetPercent: want,
  };
}

function kindFault(parts: readonly Coolant[]): Refused<'mixed-glycols' | 'not-a-strength'> | null {
  const kinds = new Set(parts.map((part) => part.glycol).filter((glycol) => glycol !== 'water'));
  if (kinds.size > 1) return refuse('mixed-glycols', 'glycol', [...kinds].join(' and '));
  for (const { glycol, volumePercent } of parts) {
    const fault = strengthFault({ volumePercent });
    if (fault) return fault;
    if (glycol === 'water' && volumePercent !== 0) return refuse('not-a-strength', 'water', volumePercent, 0);
  }
  return null;
}

function strengthFault(percents: Readonly<Record<string, number>>): Refused<'not-a-strength'> | null {
  for (const [what, percent] of Object.entries(percents))
    if (!(percent >= 0 && percent <= 100)) return refuse('not-a-strength', what, percent, 100);
  return null;
}

/** Takes the dust of binary arithmetic off. */
function tidy(value: number): number {
  return Math.round(value * 1e9) / 1e9 + 0;
}
