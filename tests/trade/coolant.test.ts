import { describe, expect, test } from 'vitest';
import { balanceCoolant, frostRead } from '../../src/trade/coolant.js';

describe('coolant out against coolant in', () => {
  test.each([
    [4000, 4000, 'balanced', 0],
    [4000, 4150, 'balanced', 150],
    [4000, 4151, 'may-be-in-the-pack', 151],
    [4000, 3850, 'balanced', -150],
    [4000, 3849, 'air-left', -151],
    [0, 400, 'may-be-in-the-pack', 400],
    [4300.1, 4450.1, 'balanced', 150],
    [4000, 0, 'air-left', -4000],
  ])('%d ml out and %d ml in, 150 ml allowed: %s', (outMl, inMl, outcome, differenceMl) => {
    expect(balanceCoolant({ outMl, inMl, toleranceMl: 150 })).toEqual({ ok: true, outcome, differenceMl });
  });

  test.each<[string, object, string]>([
    ['a tray emptied unread is not nil', { outMl: null }, 'tray-not-read'],
    ['a fill that nobody noted is not what came out', { inMl: null }, 'fill-not-noted'],
    ['less than nothing in the tray', { outMl: -1 }, 'bad-volume'],
    ['a fill that is no number', { inMl: Number.NaN }, 'bad-volume'],
    ['no tolerance', { toleranceMl: 0 }, 'bad-tolerance'],
  ])('%s', (_, change, because) => {
    const found = balanceCoolant({ outMl: 4000, inMl: 4000, toleranceMl: 150, ...change });
    expect(found).toMatchObject({ ok: false, because });
  });
});

describe('a refractometer', () => {
  const asked = { readCelsius: -36, sampleCelsius: 20, instrument: { fromCelsius: 10, toCelsius: 30 } };
  test.each([10, 20, 30])('a sample at %d °C, inside its own range, is taken as read', (sampleCelsius) => {
    expect(frostRead({ ...asked, sampleCelsius })).toEqual({ ok: true, celsius: -36 });
  });
  test.each<[string, object, string, number | null]>([
    ['an instrument whose sheet nobody has read', { instrument: null }, 'no-correction', null],
    ['hot coolant out of the pump', { sampleCelsius: 45 }, 'sample-too-warm', 30],
    ['coolant from a cold car', { sampleCelsius: 4 }, 'sample-too-cold', 10],
    ['a sample of no temperature', { sampleCelsius: Number.NaN }, 'sample-too-cold', 10],
    ['a frost point above freezing', { readCelsius: 36 }, 'above-freezing', 0],
  ])('%s is refused, never corrected', (_, change, because, limit) => {
    expect(frostRead({ ...asked, ...change })).toMatchObject({ ok: false, because, limit });
  });
});
