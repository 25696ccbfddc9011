import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readJournal } from '../../src/journal/journal.js';
import { drawOf, GENESIS, parseLine, printLine, printTold } from '../../src/journal/line.js';
import { lineOf } from './lines.js';

const JOB = 'QM-2603-001';

test('a line reads as design section 7 has it, its hash last', () => {
  const { text } = printLine(2, lineOf(JOB, 2, 'ok'), GENESIS);
  const names = Object.keys(JSON.parse(text));
  expect(names).toEqual(['v', 'seq', 'at', 'saidAt', 'by', 'name', 'via', 'key', 'words', 'events', 'hash']);
  expect(text.endsWith('"}\n')).toBe(true);
});

test('the hash is SHA-256 over the hash before and the bytes before the hash field', () => {
  const { text, hash } = printLine(2, lineOf(JOB, 2), 'a'.repeat(64));
  const bytes = Buffer.from(text).subarray(0, Buffer.from(text).indexOf(',"hash":"'));
  const sum = createHash('sha256').update('a'.repeat(64)).update(bytes).digest('hex');
  expect([hash, JSON.parse(text).hash]).toEqual([sum, sum]);
});

test('whatever was typed comes back as it was typed', () => {
  const words = fc.oneof(
    fc.string({ unit: 'binary' }),
    fc.string(),
    fc.constant('","hash":"x"}\n\u2028\ud800\0'),
  );
  fc.assert(
    fc.property(words, fc.nat(), (said, seq) => {
      const line = lineOf(JOB, seq + 1, said);
      const printed = printLine(seq + 1, line, GENESIS);
      const bytes = Buffer.from(printed.text);
      expect(bytes.indexOf(10)).toBe(bytes.length - 1);
      const parsed = parseLine(bytes.toString('utf8').slice(0, -1), GENESIS);
      expect(parsed).toEqual({ is: 'line', line: { ...line, seq: seq + 1 }, hash: printed.hash });
    }),
  );
});

test('a told line says which post stands where', () => {
  const told = { line: 3, thread: 'bay-1', place: '0003' };
  const { text, hash } = printTold(4, told, GENESIS);
  expect(parseLine(text.trimEnd(), GENESIS)).toEqual({ is: 'told', seq: 4, told, hash });
});

describe('formats', () => {
  const reseal = (change: (raw: Record<string, unknown>) => void) => {
    const raw = JSON.parse(printLine(1, lineOf(JOB, 1), GENESIS).text);
    delete raw.hash;
    change(raw);
    const body = JSON.stringify(raw).slice(0, -1);
    const sum = createHash('sha256')
      .update(GENESIS + body)
      .digest('hex');
    return `${body},"hash":"${sum}"}`;
  };

  test('a line of a later format is known as such', () => {
    const text = reseal((raw) => Object.assign(raw, { v: 2, events: { packed: true } }));
    expect(parseLine(text, GENESIS)).toMatchObject({ is: 'newer', v: 2 });
  });

  test('a format number changed by a broken disk is damage, not a later format', () => {
    const text = printLine(1, lineOf(JOB, 1), GENESIS).text.trimEnd().replace('"v":1', '"v":2');
    expect(parseLine(text, GENESIS)).toEqual({ is: 'bad', because: 'bad-hash' });
  });

  test('a line of an older format is lifted into this one', () => {
    const text = reseal((raw) => {
      raw.v = 0;
      raw.said = raw.words;
      delete raw.words;
    });
    const lifts = new Map([[0, ({ said, ...line }: Record<string, unknown>) => ({ ...line, words: said })]]);
    expect(parseLine(text, GENESIS, lifts)).toMatchObject({
      is: 'line',
      line: { words: lineOf(JOB, 1).words },
    });
    expect(parseLine(text, GENESIS)).toEqual({ is: 'bad', because: 'not-a-line' });
  });

  test.each(['at', 'by', 'key', 'events', 'seq'])('a line without "%s" is not a line', (name) => {
    const text = reseal((raw) => {
      delete raw[name];
    });
    expect(parseLine(text, GENESIS)).toEqual({ is: 'bad', because: 'not-a-line' });
  });
});

test('the draw is from 0 to below 1 and differs from line to line', () => {
  const draws = new Set<number>();
  let hash = GENESIS;
  for (let seq = 1; seq <= 200; seq++) {
    hash = printLine(seq, lineOf(JOB, seq), hash).hash;
    draws.add(drawOf(hash));
  }
  expect(draws.size).toBe(200);
  expect([...draws].every((draw) => draw >= 0 && draw < 1)).toBe(true);
  expect(drawOf('f'.repeat(64))).toBeLessThan(1);
});

test('an empty journal has no lines and nothing wrong with it', () => {
  expect(readJournal(Buffer.alloc(0))).toEqual({
    lines: [],
    told: [],
    seq: 0,
    hash: GENESIS,
    inputHash: GENESIS,
    goodBytes: 0,
    fault: null,
  });
});
