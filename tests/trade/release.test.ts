import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cureDepthMm, DAY_MS, msToDepth } from '../../src/trade/cure.js';
import {
  type AirReading,
  LOG_GAP_MS,
  releaseAt,
  releaseDepths,
  releasesAt,
} from '../../src/trade/release.js';

const HOUR = 3_600_000;
const at = (hours: number, celsius: number, percentRh = 50): AirReading => ({
  atMs: hours * HOUR,
  celsius,
  percentRh,
});
const base = { depthMm24h: 3, depthMm: 3, startMs: 0, announcedMs: null };
const hours = (result: ReturnType<typeof releaseAt>) => (result.ok ? result.atMs / HOUR : result);

describe('the three releases as depths', () => {
  test('millimetres and shares of the path give depths', () => {
    expect(
      releaseDepths(8, {
        handle: { depthMm: 2 },
        test: { pathFraction: 0.5, shortestMs: DAY_MS },
        drive: { pathFraction: 1, shortestMs: DAY_MS },
      }),
    ).toEqual({
      ok: true,
      depths: {
        handle: { depthMm: 2, shortestMs: 0 },
        test: { depthMm: 4, shortestMs: DAY_MS },
        drive: { depthMm: 8, shortestMs: DAY_MS },
      },
    });
  });
  test('releases may share a depth, and the last may be the whole path', () => {
    const same = { depthMm: 4 };
    expect(releaseDepths(4, { handle: same, test: same, drive: same })).toMatchObject({ ok: true });
  });
  const good = { handle: { depthMm: 2 }, test: { depthMm: 3 }, drive: { depthMm: 4 } };
  test.each([
    [4, { ...good, handle: { depthMm: 3.5 } }, 'out-of-order', 'test'],
    [4, { ...good, drive: { pathFraction: 0.5 } }, 'out-of-order', 'drive'],
    [4, { ...good, handle: { depthMm: 2, shortestMs: DAY_MS } }, 'out-of-order', 'test'],
    [3.9, good, 'deeper-than-path', 'drive'],
    [4, { ...good, handle: { depthMm: 0 } }, 'not-positive', 'handle'],
    [4, { ...good, handle: { depthMm: 1, shortestMs: -1 } }, 'not-positive', 'handle'],
    [0, good, 'not-positive', 'pathMm'],
    [Number.NaN, good, 'not-positive', 'pathMm'],
  ])('path %d mm, case %#, is refused', (pathMm, required, because, what) => {
    expect(releaseDepths(pathMm, required)).toMatchObject({ ok: false, because, what });
  });
});

describe('the instant of a release', () => {
  test('one reading at 23 C and 50 % gives the data sheet’s day', () => {
    expect(releaseAt({ ...base, log: [at(0, 23)] })).toEqual({
      ok: true,
      atMs: DAY_MS,
      assumed: 'worst-air-throughout',
      worstAir: { celsius: 23, percentRh: 50 },
      ruledBy: 'depth',
      lowerBound: false,
      lastReadingMs: 0,
    });
  });
  test('the future runs at the worst air logged, not at the last', () => {
    const warmAgain = releaseAt({ ...base, log: [at(0, 15), at(1, 23), at(2, 23)] });
    const steady = hours(releaseAt({ ...base, log: [at(0, 15)] }));
    expect(warmAgain).toMatchObject({ assumed: 'logged-then-worst-air', worstAir: { celsius: 15 } });
    expect(Number(hours(warmAgain))).toBeGreaterThan(30);
    expect(Number(hours(warmAgain))).toBeLessThan(Number(steady));
  });
  test('a close log is integrated at the worse end of each stretch', () => {
    const log = [at(0, 23), at(2, 20), at(4, 23), at(6, 23)];
    const result = releaseAt({ ...base, log });
    if (!result.ok) throw new Error(result.because);
    const depth = cureDepthMm(3, [
      { celsius: 20, percentRh: 50, durationMs: 4 * HOUR },
      { celsius: 23, percentRh: 50, durationMs: 2 * HOUR },
      { celsius: 20, percentRh: 50, durationMs: result.atMs - 6 * HOUR },
    ]);
    expect(Number(depth)).toBeCloseTo(3, 6);
  });
  test('readings too far apart count as the worst air for all the time between', () => {
    const gappy = releaseAt({ ...base, log: [at(0, 23), at(10, 12)] });
    expect(gappy).toMatchObject({ assumed: 'worst-air-throughout' });
    expect(hours(gappy)).toBeCloseTo(Number(msToDepth(3, 3, { celsius: 12, percentRh: 50 })) / HOUR, 6);
  });
  test('the limit of a gap is two hours', () => {
    const [close, apart] = [LOG_GAP_MS / HOUR, LOG_GAP_MS / HOUR + 0.01];
    expect(releaseAt({ ...base, log: [at(0, 23), at(close, 12)] })).toMatchObject({
      assumed: 'logged-then-worst-air',
    });
    expect(releaseAt({ ...base, log: [at(0, 23), at(apart, 12)] })).toMatchObject({
      assumed: 'worst-air-throughout',
    });
  });
  test('a first reading after the start leaves the time before it at the worst air', () => {
    const late = releaseAt({ ...base, log: [at(5, 23), at(6, 12), at(7, 23)] });
    const early = releaseAt({
      ...base,
      log: [
        at(-1, 23),
        at(0, 23),
        at(1, 23),
        at(2, 23),
        at(3, 23),
        at(4, 23),
        at(5, 23),
        at(6, 12),
        at(7, 23),
      ],
    });
    expect(Number(hours(late))).toBeGreaterThan(Number(hours(early)));
  });
  test('without any log 10 C and 50 % are assumed and said', () => {
    const result = releaseAt({ ...base, log: [] });
    expect(result).toMatchObject({
      assumed: 'no-log',
      worstAir: { celsius: 10, percentRh: 50 },
      lastReadingMs: null,
    });
    expect(hours(result)).toBeCloseTo(52.5, 0);
  });
  test('heating that failed overnight moves the release on', () => {
    const evening = [at(0, 21), at(1, 21), at(2, 21)];
    const before = Number(hours(releaseAt({ ...base, log: evening })));
    const after = Number(hours(releaseAt({ ...base, log: [...evening, at(14, 9, 45)] })));
    expect(after).toBeGreaterThan(before + 10);
  });
  test('below 10 C it is said to be a lower bound', () => {
    expect(releaseAt({ ...base, log: [at(0, 9.9)] })).toMatchObject({ lowerBound: true });
    expect(releaseAt({ ...base, log: [at(0, 10)] })).toMatchObject({ lowerBound: false });
  });
  test('the data sheet’s shortest time holds when the depth is there sooner', () => {
    expect(releaseAt({ ...base, depthMm: 1, shortestMs: DAY_MS, log: [at(0, 23)] })).toMatchObject({
      atMs: DAY_MS,
      ruledBy: 'shortest-time',
    });
  });
  test('an instant once announced never comes forward', () => {
    expect(releaseAt({ ...base, announcedMs: 2 * DAY_MS, log: [at(0, 23)] })).toMatchObject({
      atMs: 2 * DAY_MS,
      ruledBy: 'announced',
    });
    expect(releaseAt({ ...base, announcedMs: HOUR, log: [at(0, 23)] })).toMatchObject({
      atMs: DAY_MS,
      ruledBy: 'depth',
    });
  });
  test('is rounded up, never down, to the millisecond', () => {
    expect(releaseAt({ ...base, depthMm24h: 7, depthMm: 3, log: [at(0, 23)] })).toMatchObject({
      atMs: Math.floor((DAY_MS * 9) / 49) + 1,
    });
  });
  test('a release that falls into an unlogged stretch still says that the log before it was used', () => {
    expect(releaseAt({ ...base, log: [at(0, 23), at(1, 23), at(60, 23)] })).toMatchObject({
      atMs: DAY_MS,
      assumed: 'logged-then-worst-air',
    });
    expect(releaseAt({ ...base, log: [at(0, 23), at(60, 23)] })).toMatchObject({
      assumed: 'worst-air-throughout',
    });
  });
  test('the start may be any instant', () => {
    const startMs = 1_764_000_000_000;
    expect(releaseAt({ ...base, startMs, log: [{ ...at(0, 23), atMs: startMs }] })).toMatchObject({
      atMs: startMs + DAY_MS,
    });
  });
});

const air = {
  celsius: fc.double({ min: 5, max: 40, noNaN: true }),
  percentRh: fc.double({ min: 20, max: 90, noNaN: true }),
};
const anyLog = fc.array(fc.record({ atMs: fc.integer({ min: -5 * HOUR, max: 60 * HOUR }), ...air }), {
  minLength: 1,
  maxLength: 12,
});
const anyCase = fc.record({ log: anyLog, depthMm: fc.double({ min: 0.5, max: 2.5, noNaN: true }) });

describe('over any log', () => {
  test('the order in which readings arrive does not matter', () => {
    fc.assert(
      fc.property(anyCase, fc.nat(), ({ log, depthMm }, turn) => {
        fc.pre(new Set(log.map((reading) => reading.atMs)).size === log.length);
        const turned = log
          .map((_, i) => log[(i + turn) % log.length])
          .filter((reading) => reading !== undefined);
        expect(releaseAt({ ...base, depthMm, log: turned })).toEqual(releaseAt({ ...base, depthMm, log }));
      }),
    );
  });
  test('a reading that turns out drier never gives an earlier instant', () => {
    fc.assert(
      fc.property(
        anyCase,
        fc.nat(),
        fc.double({ min: 0, max: 1, noNaN: true }),
        ({ log, depthMm }, pick, drop) => {
          const before = releaseAt({ ...base, depthMm, log });
          const worse = log.map((reading, i) =>
            i === pick % log.length
              ? { ...reading, percentRh: 20 + (reading.percentRh - 20) * drop }
              : reading,
          );
          const after = releaseAt({ ...base, depthMm, log: worse });
          fc.pre(before.ok && after.ok);
          // A millisecond is rounding: the sums run in another order.
          if (before.ok && after.ok) expect(after.atMs).toBeGreaterThanOrEqual(before.atMs - 1);
        },
      ),
      { numRuns: 3000 },
    );
  });
  test('a further reading worse than all before never gives an earlier instant', () => {
    fc.assert(
      fc.property(anyCase, fc.integer({ min: -5 * HOUR, max: 80 * HOUR }), ({ log, depthMm }, atMs) => {
        const before = releaseAt({ ...base, depthMm, log });
        const after = releaseAt({ ...base, depthMm, log: [...log, { atMs, celsius: 5, percentRh: 20 }] });
        fc.pre(before.ok && after.ok);
        if (before.ok && after.ok) expect(after.atMs).toBeGreaterThanOrEqual(before.atMs - 1);
      }),
      { numRuns: 3000 },
    );
  });
  test('is never earlier than the best logged air would allow, nor later than the worst', () => {
    fc.assert(
      fc.property(anyCase, ({ log, depthMm }) => {
        const result = releaseAt({ ...base, depthMm, log });
        const steady = log.map((reading) => msToDepth(3, depthMm, reading)).map(Number);
        fc.pre(result.ok && steady.every(Number.isFinite));
        if (!result.ok) return;
        expect(result.atMs).toBeGreaterThanOrEqual(Math.min(...steady) - 1);
        expect(result.atMs).toBeLessThanOrEqual(Math.max(...steady) + 1);
      }),
      { numRuns: 2000 },
    );
  });
});

describe('air out of range', () => {
  const all = { ...base, depthMm24h: 3, depthMm: 3 };
  const instant = (log: readonly AirReading[]) => {
    const found = releaseAt({ ...all, log });
    return found.ok ? found.atMs : null;
  };

  test('there is no instant while the last entry is out of range, and it says since when', () => {
    expect(releaseAt({ ...all, log: [at(0, 23), at(2, 4), at(3, 3)] })).toMatchObject({
      ok: false,
      because: 'too-cold',
      sinceMs: 2 * HOUR,
    });
  });

  test('the time from the entry before it to the first entry back in range counts as no cure', () => {
    const steady = instant([at(0, 23), at(1, 23)]);
    const gap = instant([at(0, 23), at(1, 23), at(2, 4), at(5, 23)]);
    expect(steady).toBe(DAY_MS);
    expect(gap).toBe(DAY_MS + 4 * HOUR);
  });

  test('a long silence before an entry out of range counts as no cure either', () => {
    expect(instant([at(0, 23), at(14, 4), at(15, 23)])).toBe(DAY_MS + 15 * HOUR);
  });

  test('what is still to come runs at the worst air that cures, not at none', () => {
    expect(instant([at(-1, 4), at(0, 23)])).toBe(DAY_MS);
  });
});

describe('a cure that cannot be computed is refused', () => {
  test.each([
    [{ log: [at(0, 23), at(3, 4)] }, 'too-cold'],
    [{ log: [at(0, 41)] }, 'too-warm'],
    [{ log: [at(0, 23, 15)] }, 'too-dry'],
    [{ log: [at(0, 23, 95)] }, 'too-moist'],
    [{ log: [at(Number.NaN, 23)] }, 'bad-time'],
    [{ log: [], startMs: Number.NaN }, 'bad-time'],
    [{ log: [], shortestMs: -1 }, 'bad-time'],
    [{ log: [], gapMs: -1 }, 'bad-time'],
    [{ log: [], announcedMs: Number.NaN }, 'bad-time'],
    [{ log: [], depthMm: 11 }, 'too-deep'],
    [{ log: [], depthMm24h: 0 }, 'not-positive'],
    [{ log: [at(0, 6, 25)], depthMm: 9 }, 'beyond-21-days'],
  ])('case %#: %s', (change, because) => {
    expect(releaseAt({ ...base, ...change })).toMatchObject({ ok: false, because });
  });
});

describe('all three at once', () => {
  const found = releaseDepths(4, {
    handle: { depthMm: 1.5 },
    test: { depthMm: 3 },
    drive: { pathFraction: 1 },
  });
  if (!found.ok) throw new Error(found.because);
  const asked = {
    depthMm24h: 3,
    depths: found.depths,
    startMs: 0,
    announcedMs: { handle: null, test: 2 * DAY_MS, drive: null },
  };
  test('handle before test before drive, each by the square of its depth, an announced one kept', () => {
    expect(releasesAt({ ...asked, log: [at(0, 23)] })).toMatchObject({
      ok: true,
      releases: {
        handle: { atMs: DAY_MS / 4, ruledBy: 'depth' },
        test: { atMs: 2 * DAY_MS, ruledBy: 'announced' },
        drive: { atMs: Math.ceil((DAY_MS * 16) / 9), ruledBy: 'depth' },
      },
    });
  });
  test('one refusal refuses all', () => {
    expect(releasesAt({ ...asked, log: [at(0, 3)] })).toMatchObject({ ok: false, because: 'too-cold' });
  });
});
