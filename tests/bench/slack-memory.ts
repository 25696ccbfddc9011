import { type ChildProcess, spawn } from 'node:child_process';
import * as fs from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { WORKSHOP } from '../../src/shop/demo/workshop.js';
import { People } from '../channel/slack/standin/people.js';
import { StandIn } from '../channel/slack/standin/standin.js';
import { BOT } from '../channel/slack/standin/web-api.js';

/** Words a bay, as a shift brings them: what is said in a thread, and what is asked. */
const WORDS = ['where', 'note bolt 4 was tight', 'list', 'ok', 'note the cover is scratched', 'why'];
const ROUNDS = 5;
const MAIN = join(process.cwd(), 'dist/main.js');
const BARE = fileURLToPath(new URL('slack-empty.js', import.meta.url));

/**
 * Kilobytes that a process holds after a shift's talk in so many bays: the program as people start it, its page beside
 * it, or the library's app alone with a handler that posts. Both hear the same words from the same platform.
 */
export async function memoryOf(arm: 'own' | 'bare', data: string, bays: number): Promise<number> {
  const standIn = await StandIn.open();
  const ids = Array.from({ length: bays }, (_, at) => String(at + 1));
  if (arm === 'own') writeRegister(data, ids);
  const env = {
    ...process.env,
    BAYWARDEN_DATA: data,
    BAYWARDEN_PORT: '45178',
    SLACK_BOT_TOKEN: BOT.token,
    SLACK_APP_TOKEN: BOT.appToken,
    SLACK_API_URL: standIn.api,
    SLACK_FOREMAN_CHANNEL: 'CFOREMAN',
  };
  const child = spawn(process.execPath, [arm === 'own' ? MAIN : BARE], {
    env,
    stdio: ['ignore', 'ignore', 'inherit'],
  });
  try {
    const { sockets, web } = standIn;
    await sockets.until(() => sockets.open.size >= (arm === 'own' ? 2 : 1));
    const people = new People(standIn);
    const say = async (id: string, words: string, thread?: string) => {
      const told = people.says(`UMARA${id}`, `CBAY${id}`, words, thread);
      const envelope = sockets.push(told.type, told.payload);
      await sockets.until(() => sockets.acks.has(envelope));
      return told.ts;
    };
    const posts = () => web.messages.all.filter(({ bot_id }) => bot_id === BOT.bot).length;
    const roots = new Map<string, string | undefined>();
    for (const id of ids) {
      const before = posts();
      const ts = await say(id, `start disconnect-fuse DEMO-1-${id}`);
      await sockets.until(() => posts() > before);
      const head = web.messages.all.find(
        ({ bot_id, channel, thread_ts }) =>
          bot_id === BOT.bot && channel === `CBAY${id}` && thread_ts === undefined,
      );
      roots.set(id, arm === 'own' ? head?.ts : ts);
    }
    for (let round = 0; round < ROUNDS; round++)
      for (const words of WORDS) for (const id of ids) await say(id, words, roots.get(id));
    return residentOf(child);
  } finally {
    child.kill('SIGKILL');
    await standIn.close();
  }
}

function residentOf({ pid }: ChildProcess): number {
  const status = fs.readFileSync(`/proc/${pid}/status`, 'utf8');
  return Number(/VmRSS:\s+(\d+)/.exec(status)?.[1]);
}

/** The demo workshop with a technician, a car and a channel for each bay. */
function writeRegister(data: string, ids: readonly string[]): void {
  const folder = join(data, 'register');
  fs.mkdirSync(folder, { recursive: true });
  const [bay] = WORKSHOP['bays.json'].bays;
  const mara = WORKSHOP['people.json'].people.find(({ id }) => id === 'mara');
  const car = WORKSHOP['vehicles.json'].cars.find(({ registration }) => registration === 'DEMO-1');
  const documents = {
    ...WORKSHOP,
    'people.json': {
      people: [
        ...WORKSHOP['people.json'].people,
        ...ids.map((id) => ({ ...mara, id: `mara-${id}`, accounts: { slack: `UMARA${id}` } })),
      ],
    },
    'vehicles.json': {
      ...WORKSHOP['vehicles.json'],
      cars: ids.map((id) => ({ ...car, registration: `DEMO-1-${id}` })),
    },
    'bays.json': {
      bays: ids.map((id) => ({ ...bay, id, label: `Bay ${id}`, accounts: { slack: `CBAY${id}` } })),
    },
  };
  for (const [name, document] of Object.entries(documents))
    fs.writeFileSync(join(folder, name), JSON.stringify(document));
}
