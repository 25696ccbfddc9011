import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Browser } from './browser.js';

/** The program as people start it, built by `npm run build`. */
const MAIN = resolve(import.meta.dirname, '../../../dist/main.js');

let data: string;
const running: ChildProcess[] = [];
beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), 'baywarden-program-'));
});
afterEach(() => {
  for (const program of running.splice(0)) program.kill('SIGKILL');
  rmSync(data, { recursive: true, force: true });
});

type Run = {
  readonly program: ChildProcess;
  said(): string;
  until(words: string): Promise<void>;
  ended: Promise<number | null>;
};

function run(args: readonly string[], settings: Record<string, string> = {}, input = ''): Run {
  const env = { ...process.env, BAYWARDEN_DATA: data, ...settings };
  const program = spawn(process.execPath, [MAIN, ...args], { env });
  running.push(program);
  let said = '';
  const waiting: (() => void)[] = [];
  for (const stream of [program.stdout, program.stderr])
    stream.on('data', (chunk: Buffer) => {
      said += chunk.toString();
      for (const wake of waiting.splice(0)) wake();
    });
  program.stdin.end(input);
  const ended = new Promise<number | null>((done) => program.on('exit', (code) => done(code)));
  const until = async (words: string) => {
    while (!said.includes(words)) {
      const gone = await Promise.race([
        ended.then(() => true),
        new Promise<false>((wake) => waiting.push(() => wake(false))),
      ]);
      if (gone && !said.includes(words)) throw new Error(`it never said "${words}":\n${said}`);
    }
  };
  return { program, said: () => said, until, ended };
}

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', () => done()));
  const address = server.address();
  await new Promise((done) => server.close(done));
  return typeof address === 'object' && address !== null ? address.port : 0;
}

describe('npm start', () => {
  test('prints the address, answers a page that is opened at once, ends in order and goes on where it was', async () => {
    const port = await freePort();
    const settings = { BAYWARDEN_PORT: String(port) };
    const first = run([], settings);
    await first.until(`Open: http://127.0.0.1:${port}/`);
    // Asked before the workshop has been read: it waits, and is answered.
    const live = await new Browser(port).listen();
    await live.caughtUp();
    expect(first.said()).toContain('demo workshop');
    const mara = new Browser(port);
    await mara.signIn({ person: 'mara', own: true });
    expect((await mara.say('start make-safe DEMO-1')).status).toBe(204);
    first.program.kill('SIGTERM');
    expect(await first.ended).toBe(0);
    await live.end();
    expect(existsSync(join(data, 'lock'))).toBe(false);
    const second = run([], settings);
    await second.until('Ctrl-C');
    expect(second.said()).not.toContain('did not end in order');
    const again = await new Browser(port).listen();
    await again.caughtUp();
    expect(again.of<{ words: string }>('said').map(({ words }) => words)).toEqual(['start make-safe DEMO-1']);
    expect((await mara.say('where')).status).toBe(204);
    second.program.kill('SIGKILL');
    await second.ended;
    const third = run([], settings);
    await third.until('Ctrl-C');
    expect(third.said()).toContain('did not end in order');
    const after = await new Browser(port).listen();
    await after.caughtUp();
    expect(after.of<{ words: string }>('said').map(({ words }) => words)).toEqual([
      'start make-safe DEMO-1',
      'where',
    ]);
    after.close();
    third.program.kill('SIGINT');
    expect(await third.ended).toBe(0);
  });

  test('refuses a port that is taken and a port that is none, naming the setting', async () => {
    const server = createServer();
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', () => done()));
    const address = server.address();
    const port = typeof address === 'object' && address !== null ? address.port : 0;
    const taken = run([], { BAYWARDEN_PORT: String(port) });
    expect(await taken.ended).toBe(1);
    expect(taken.said()).toContain(`BAYWARDEN_PORT: port ${port} is taken`);
    expect(existsSync(join(data, 'lock'))).toBe(false);
    server.close();
    const none = run([], { BAYWARDEN_PORT: 'http' });
    expect(await none.ended).toBe(1);
    expect(none.said()).toContain('BAYWARDEN_PORT: "http" is no port');
  });

  test('opens no page to other computers while somebody has no PIN', async () => {
    const open = run([], { BAYWARDEN_HOST: '0.0.0.0', BAYWARDEN_PORT: String(await freePort()) });
    expect(await open.ended).toBe(1);
    expect(open.said()).toContain('BAYWARDEN_HOST: 0.0.0.0 can be reached');
    expect(open.said()).not.toContain('Open:');
    expect(await run(['terminal']).ended).toBe(0);
    const known = run([], { BAYWARDEN_HOST: '0.0.0.0', BAYWARDEN_PORT: String(await freePort()) });
    expect(await known.ended).toBe(1);
    expect(known.said()).toMatch(/BAYWARDEN_HOST: 0\.0\.0\.0 .*without a PIN: orla/);
  });
});

describe('commands on the register', () => {
  test('pin reads the PIN from its input, link prints an address; preflight says what is missing', async () => {
    const terminal = run(['terminal']);
    expect(await terminal.ended).toBe(0);
    const pin = run(['pin', 'mara'], {}, '4711\n');
    expect(await pin.ended).toBe(0);
    expect(pin.said()).toContain('Mara Tillet has a PIN now');
    expect(readFileSync(join(data, 'register/people.json'), 'utf8')).not.toContain('4711');
    const link = run(['link', 'mara']);
    expect(await link.ended).toBe(0);
    expect(link.said()).toMatch(/^http:\/\/127\.0\.0\.1:4477\/as\/mara\.[\w-]{43}\n/);
    expect(await run(['pin', 'nobody'], {}, '4711\n').ended).toBe(1);
    expect(await run(['pin']).ended).toBe(2);
    const ready = run(['preflight'], { BAYWARDEN_PORT: String(await freePort()) });
    expect(await ready.ended).toBe(0);
    expect(ready.said()).toContain('PINs: without one: orla');
    const blocked = run(['preflight'], {
      BAYWARDEN_HOST: '0.0.0.0',
      BAYWARDEN_PORT: String(await freePort()),
    });
    expect(await blocked.ended).toBe(1);
  });
});
