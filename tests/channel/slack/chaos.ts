import { createHash } from 'node:crypto';
import { emptyJob } from '../../../src/job/evolve.js';
import { fold } from '../../../src/job/fold.js';
import { openStore } from '../../../src/journal/store.js';
import { say } from '../../../src/talk/say.js';
import { MINUTE } from '../../desk/floor.js';
import { bayChannel, type SlackShop } from './shop.js';
import { limited, storedThen500 } from './standin/faults.js';
import type { Told } from './standin/people.js';
import { DISCONNECTS } from './standin/sockets.js';
import { BOT } from './standin/web-api.js';

/** Chance from a seed, the same every time. */
export function chanceOf(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

const POST = 'chat.postMessage';

/** What may befall the line before somebody speaks; most often nothing. */
function strike(shop: SlackShop, chance: () => number): void {
  const { faults } = shop.standIn.web;
  const at = chance();
  if (at < 0.05) faults.add(storedThen500(POST));
  else if (at < 0.08) faults.add({ method: POST, does: 'cut', afterStore: true });
  else if (at < 0.11) faults.add({ method: POST, does: 'cut' });
  else if (at < 0.13) faults.add({ method: POST, does: 'hang', afterStore: chance() < 0.5 });
  else if (at < 0.16) faults.add(limited(POST, 1 + Math.floor(chance() * 90)));
  else if (at < 0.18) faults.add(limited('conversations.replies', 1 + Math.floor(chance() * 30)));
  else if (at < 0.2) faults.add({ method: 'conversations.replies', does: 'cut' });
  else if (at < 0.22) faults.add({ method: 'chat.update', does: 'cut' });
  else if (at < 0.25 && shop.mode === 'socket') {
    const reason = DISCONNECTS[Math.floor(chance() * DISCONNECTS.length)];
    if (reason !== undefined) shop.standIn.sockets.disconnect(reason);
  } else if (at < 0.26 && shop.mode === 'socket') shop.standIn.sockets.drop();
}

/** Tells the app in one of the ways in which things arrive: once, twice, with a mention, behind something later. */
async function tell(
  shop: SlackShop,
  told: Told,
  before: readonly Told[],
  chance: () => number,
): Promise<void> {
  const at = chance();
  if (at < 0.06) await Promise.all([shop.push(told), shop.push(told)]);
  else if (at < 0.1) {
    const later = shop.said('wilf', 'note passing by');
    await Promise.all([shop.push(later), shop.push(told)]);
  } else if (at < 0.14 && before.length > 0) {
    const old = before[Math.floor(chance() * before.length)];
    await shop.push(told);
    if (old !== undefined) await shop.push(old);
  } else if (at < 0.17) await killIn(shop, told, chance);
  else await shop.push(told);
}

/** The program dies somewhere between the first byte and the last post; what was not acknowledged comes again. */
async function killIn(shop: SlackShop, told: Told, chance: () => number): Promise<void> {
  shop.pushOff(told);
  for (let turns = Math.floor(chance() * 12); turns > 0; turns--)
    await new Promise((resolve) => setImmediate(resolve));
  await shop.kill();
  shop.clock.moveTo(shop.clock.now() + Math.floor(chance() * 3 * MINUTE));
  await shop.start();
  await shop.push(told);
}

/** A whole job with faults at random. The technician answers what is asked, to the end. */
export async function chaosJob(seed: number, shop: SlackShop, most = 900): Promise<void> {
  const chance = chanceOf(seed);
  const before: Told[] = [];
  await shop.say('mara', 'start disconnect-fuse DEMO-1');
  for (let turn = 0; turn < most; turn++) {
    const job = shop.desk.jobOf('1');
    if (job === null) {
      if (shop.desk.lastJobOf('1') !== null || (await ended(shop))) return settle(shop);
      await shop.later(1);
      if (shop.desk.jobOf('1') === null) await shop.say('mara', 'start disconnect-fuse DEMO-1');
      continue;
    }
    if (shop.headOf('1') === undefined) {
      await shop.later(1);
      continue;
    }
    strike(shop, chance);
    const told = shop.next();
    if (told !== null && chance() < 0.015) {
      // Said while nobody listens, and never delivered.
      await shop.cutOff(1 + Math.floor(chance() * 170));
    } else if (told !== null) {
      await tell(shop, told, before, chance);
      before.push(told);
    }
    const wake = shop.desk.nextWake();
    await shop.later(told === null && wake !== null ? Math.max(0, (wake - shop.clock.now()) / MINUTE) : 1);
  }
  const at = shop.desk.jobOf('1')?.asked?.step;
  throw new Error(`seed ${seed}: it does not end; it is at ${at}: ${shop.lastPost().text}`);
}

async function ended(shop: SlackShop): Promise<boolean> {
  return (await shop.disk.list('done')).length > 0;
}

/** Everything that still waits is delivered. */
async function settle(shop: SlackShop): Promise<void> {
  shop.standIn.web.faults.clear();
  for (let turn = 0; turn < 5; turn++) await shop.later(1);
}

const markOf = (key: string) => createHash('sha256').update(key).digest('hex').slice(0, 32);

/** What is wrong with how it came out, in words; none when all is well. */
export async function wrongIn(shop: SlackShop): Promise<string[]> {
  const wrong: string[] = [];
  const [month = ''] = await shop.disk.list('done');
  const [file = ''] = await shop.disk.list(`done/${month}`);
  const id = file.replace('.jsonl', '');
  const journal = await openStore(shop.disk).read(id);
  const flow = shop.flow('disconnect-fuse');
  if (journal === null || flow === null) return ['no job has ended'];
  const marks = new Map<string, number>();
  const own = shop.standIn.web.messages.all.filter(({ bot_id }) => bot_id === BOT.bot);
  for (const { metadata } of own) {
    // What was told late stands in one post with what came after it.
    const { key, also = '' } = metadata?.event_payload ?? {};
    for (const mark of [String(key), ...String(also).split(' ')]) marks.set(mark, (marks.get(mark) ?? 0) + 1);
  }
  let job = emptyJob(id);
  const keys = new Set<string>();
  for (const line of journal.lines) {
    job = fold(job, line);
    if (keys.has(line.key)) wrong.push(`${line.key} had two effects`);
    keys.add(line.key);
    for (const post of say(job, flow, line.events)) {
      // Where marks are dropped nobody can tell, neither we nor the program.
      if (shop.standIn.web.level.dropsMetadata === true) continue;
      const stands = marks.get(markOf(`${id}:${line.seq}:${post.to}`)) ?? 0;
      if (stands !== 1) wrong.push(`post ${line.seq} to ${post.to} stands ${stands} times`);
    }
    for (const event of line.events) {
      if (event.type !== 'answered' || event.answer.ask !== 'word') continue;
      const stamp = /:(\d+\.\d+)(?:$|:)/.exec(line.key)?.[1] ?? '';
      const { word } = event.answer;
      const asked = own.some(({ text, ts }) => ts < stamp && text.includes(word));
      if (line.words.toLowerCase() !== word.toLowerCase()) wrong.push(`${word} passed by "${line.words}"`);
      if (!asked) wrong.push(`${word} passed before anybody was asked for it`);
    }
  }
  for (const fact of flow.rules.facts)
    if (fact.opening && job.facts[fact.id] !== undefined && job.facts[fact.id]?.value !== 'gone')
      wrong.push(`${fact.id} is left open`);
  if (job.mode !== 'done') wrong.push(`it ended ${job.mode}`);
  const heads = shop
    .inChannel(bayChannel('1'))
    .filter(({ bot_id, text }) => bot_id === BOT.bot && text.includes('answered in this thread'));
  if (heads.length !== 1) wrong.push(`${heads.length} threads`);
  if (shop.standIn.web.refused.length > 0)
    wrong.push(`beyond the limits: ${shop.standIn.web.refused.join(', ')}`);
  return wrong;
}

/** What a job comes to, whatever befell the line: nothing in it is a time. */
export async function cameTo(shop: SlackShop) {
  const [month = ''] = await shop.disk.list('done');
  const [file = ''] = await shop.disk.list(`done/${month}`);
  const journal = await openStore(shop.disk).read(file.replace('.jsonl', ''));
  let job = emptyJob('');
  for (const line of journal?.lines ?? []) job = fold(job, line);
  const { mode, closed, fields, due, gear, choices } = job;
  // A job that took longer ends on another day.
  const dates = due.map(({ what, atKm, rule }) => ({ what, atKm, rule }));
  // What long silences put in doubt is in doubt; what is gone and what is not is the same.
  const gone = Object.entries(job.facts).flatMap(([fact, { value }]) => (value === 'gone' ? [fact] : []));
  const readings = Object.entries(job.readings).map(([name, all]) => [name, all.at(-1)?.quantity]);
  const kept = { gone: gone.sort(), readings: Object.fromEntries(readings) };
  return {
    mode,
    closed,
    fields,
    due: dates,
    gear: Object.keys(gear).sort(),
    choices,
    ...kept,
    holder: job.holder,
  };
}
