import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { runTerminal } from '../../src/channel/script/terminal.js';
import { VirtualClock } from '../../src/desk/clock.js';
import { tryOut } from './bench.js';

let data: string;
beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), 'baywarden-'));
});
afterEach(() => rmSync(data, { recursive: true }));

/** Types these lines, at a morning of that day, and gives what was printed. */
async function type(lines: readonly string[], day = '2026-03-04'): Promise<string> {
  const input = new PassThrough();
  const output = new PassThrough();
  const chunks: Buffer[] = [];
  output.on('data', (chunk: Buffer) => chunks.push(chunk));
  const clock = new VirtualClock(Date.parse(`${day}T09:00:00Z`));
  input.end(lines.map((line) => `${line}\n`).join(''));
  const code = await runTerminal({ data, flows: await tryOut(), input, output, clock });
  expect(code).toBe(0);
  return Buffer.concat(chunks).toString();
}

test('the first lines say where the data are, who is here, which bays, and what to type', async () => {
  const said = await type([]);
  expect(said).toContain(data);
  for (const words of ['mara', 'orla', '1 (Bay 1)', 'DEMO-1', 'Wed 4 Mar 2026 09:00'])
    expect(said).toContain(words);
  expect(said).toContain('start try-out DEMO-1');
  expect(existsSync(join(data, 'register', 'people.json'))).toBe(true);
});

test('piped lines are a conversation from the first line to the last', async () => {
  const said = await type(['start try-out DEMO-1', '/tap OK', '/clock +10m', 'Sun']);
  expect(said).toMatch(/09:00 \w+ +start try-out DEMO-1\n09:00 warden +Try out\./);
  expect(said).toMatch(/09:00 \w+ +\[OK\]/);
  expect(said).toContain('09:10 warden');
  expect(said).toContain('Try out, done');
  expect(said).not.toContain('\u001b');
});

describe('who speaks, and where', () => {
  test('a name in front speaks for one line; /as from there on', async () => {
    const said = await type(['jory: start try-out DEMO-1', '/as jory', 'ok', '/as visitor', 'where']);
    expect(said).toContain('jory   start try-out DEMO-1');
    expect(said).toContain('You are jory now.');
    expect(said).toMatch(/09:00 jory +ok\n/);
    expect(said).toContain('a guest');
  });

  test('each bay is a thread of its own, and there is one for the foreman', async () => {
    const said = await type(['/bay 2', 'start try-out DEMO-2', '/bay 9', '/foreman', 'orla: where']);
    expect(said).toContain('-- Bay 2');
    expect(said).toContain('There is no bay 9. There is: 1, 2, 3.');
    expect(said).toContain('-- foreman');
  });
});

test('a terminal that is started again takes the job up where it was, and questions still open can be answered', async () => {
  await type(['start try-out DEMO-1']);
  const said = await type(['ok', '/clock +10m', 'Sun'], '2026-03-05');
  expect(said).not.toContain('question below was seen');
  expect(said).toContain('Try out, done');
});

test('the gear of a workshop made today is as old as it was made up to be', async () => {
  await type([], '2031-11-19');
  const gear = JSON.parse(readFileSync(join(data, 'register', 'gear.json'), 'utf8')).gear;
  const tested = (id: string) => gear.find((piece: { id: string }) => piece.id === id).tested;
  // 12 weeks before the Monday of that week; in the made-up workshop, 12 weeks before 2 March 2026.
  expect(tested('G1')).toBe('2031-08-25');
});

test('a register with faults is told, not overwritten', async () => {
  await type([]);
  const path = join(data, 'register', 'bays.json');
  const { writeFileSync } = await import('node:fs');
  writeFileSync(path, '{ "bays": [ { "id": "1" } ] }');
  const output = new PassThrough();
  const input = new PassThrough();
  input.end();
  expect(await runTerminal({ data, flows: await tryOut(), input, output, clock: new VirtualClock(0) })).toBe(
    0,
  );
  const said = String(output.read());
  expect(said).toMatch(/bays\.json:1:\d+: /);
  expect(said).toContain('The last good one is in force');
  expect(readFileSync(path, 'utf8')).toContain('"id": "1"');
});

test('a register that never was good is no shop', async () => {
  const { mkdirSync, writeFileSync } = await import('node:fs');
  mkdirSync(join(data, 'register'), { recursive: true });
  writeFileSync(join(data, 'register', 'bays.json'), '{ "bays": [ { "id": "1" } ] }');
  const output = new PassThrough();
  const input = new PassThrough();
  input.end();
  expect(await runTerminal({ data, flows: await tryOut(), input, output, clock: new VirtualClock(0) })).toBe(
    1,
  );
  expect(String(output.read())).toContain('Correct them and start again');
});
