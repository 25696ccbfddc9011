import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { WORKSHOP } from '../../../src/shop/demo/workshop.js';
import { bayChannel, FOREMAN, userOf } from './shop.js';
import type { Message } from './standin/messages.js';
import { People } from './standin/people.js';
import { StandIn } from './standin/standin.js';
import { BOT } from './standin/web-api.js';

/** The program as people start it, built by `npm run build`. */
const MAIN = resolve(import.meta.dirname, '../../../dist/main.js');

let data: string;
let standIn: StandIn;
let people: People;
const running: ChildProcess[] = [];

beforeEach(async () => {
  data = mkdtempSync(join(tmpdir(), 'baywarden-slack-'));
  const folder = join(data, 'register');
  mkdirSync(folder);
  const documents = {
    ...WORKSHOP,
    'people.json': {
      people: WORKSHOP['people.json'].people.map((one) => ({ ...one, accounts: { slack: userOf(one.id) } })),
    },
    'bays.json': {
      bays: WORKSHOP['bays.json'].bays.map((one) => ({ ...one, accounts: { slack: bayChannel(one.id) } })),
    },
  };
  for (const [name, document] of Object.entries(documents))
    writeFileSync(join(folder, name), JSON.stringify(document));
  standIn = await StandIn.open();
  people = new People(standIn);
});
afterEach(async () => {
  for (const program of running.splice(0)) program.kill('SIGKILL');
  await standIn.close();
  rmSync(data, { recursive: true, force: true });
});

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', () => done()));
  const address = server.address();
  await new Promise((done) => server.close(done));
  return typeof address === 'object' && address !== null ? address.port : 0;
}

function run(port: number): {
  readonly ended: Promise<number | null>;
  readonly program: ChildProcess;
  said(): string;
} {
  const env = {
    ...process.env,
    BAYWARDEN_DATA: data,
    BAYWARDEN_PORT: String(port),
    SLACK_BOT_TOKEN: BOT.token,
    SLACK_APP_TOKEN: BOT.appToken,
    SLACK_API_URL: standIn.api,
    SLACK_FOREMAN_CHANNEL: FOREMAN,
  };
  const program = spawn(process.execPath, [MAIN], { env });
  running.push(program);
  let said = '';
  for (const stream of [program.stdout, program.stderr])
    stream.on('data', (chunk: Buffer) => {
      said += chunk.toString();
    });
  return {
    program,
    said: () => said,
    ended: new Promise((done) => program.on('exit', (code) => done(code))),
  };
}

const posts = (): Message[] => standIn.web.messages.all.filter(({ bot_id }) => bot_id === BOT.bot);
const posted = (count: number) => standIn.sockets.until(() => posts().length >= count);

test('npm start listens in Slack beside the page, ends in order, and goes on where it was after a kill', async () => {
  const port = await freePort();
  const first = run(port);
  await standIn.sockets.until(() => standIn.sockets.open.size === 2);
  const told = people.says(userOf('mara'), bayChannel('1'), 'start disconnect-fuse DEMO-1');
  standIn.sockets.push(told.type, told.payload);
  await posted(2);
  const [head, question] = posts();
  expect(question?.thread_ts).toBe(head?.ts);
  // The page beside it is the board: it shows the job that lives in Slack.
  expect((await fetch(`http://127.0.0.1:${port}/`)).status).toBe(200);
  first.program.kill('SIGKILL');
  await first.ended;
  await standIn.sockets.until(() => standIn.sockets.open.size === 0);

  // Said while nobody listened, and never delivered.
  people.says(userOf('mara'), bayChannel('1'), 'note nobody listened', head?.ts);
  const second = run(port);
  await posted(3);
  expect(posts().map(({ thread_ts }) => thread_ts)).toEqual([undefined, head?.ts, head?.ts]);
  expect(posts().at(-1)?.text).toContain('Noted');
  second.program.kill('SIGTERM');
  expect(await second.ended, second.said()).toBe(0);
});
