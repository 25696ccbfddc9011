import type { Finding } from '../../desk/readiness.js';
import type { Register } from '../../shop/register.js';
import { roomsOf, VIA } from './rooms.js';
import type { SlackSettings } from './settings.js';
import { roomState } from './shared.js';
import { openWeb, type Web, WebFault } from './web.js';

export type CheckParts = {
  readonly settings: SlackSettings;
  /** Null when the register cannot be read: then only the tokens are looked at. */
  readonly register: Register | null;
  /** Wall time, ms since 1970. */
  readonly now: () => number;
  readonly fetch?: typeof fetch;
};

const ABOUT = 'slack';
const good = (words: string): Finding => ({ about: ABOUT, state: 'good', words, remedy: '' });
const note = (words: string, remedy: string): Finding => ({ about: ABOUT, state: 'note', words, remedy });
const blocks = (words: string, remedy: string): Finding => ({ about: ABOUT, state: 'blocks', words, remedy });

/** Scopes of the manifest, and what is missing without them. */
export const SCOPES: Readonly<Record<string, { readonly needed: boolean; readonly without: string }>> = {
  'chat:write': { needed: true, without: 'nothing can be said' },
  'channels:history': {
    needed: true,
    without: 'nothing is heard in public channels, and nothing missed is read',
  },
  'groups:history': { needed: false, without: 'private channels cannot be used' },
  'channels:read': { needed: true, without: 'channels shared with others cannot be told and refused' },
  'groups:read': { needed: false, without: 'private channels shared with others cannot be told and refused' },
  'reactions:read': { needed: false, without: 'a thumb completes no step' },
  'files:read': { needed: false, without: 'photos cannot be kept' },
  'files:write': { needed: false, without: 'records and charts are not shown in the thread' },
  commands: { needed: false, without: 'there is no slash command' },
  'users:read': { needed: true, without: 'guests of the workspace cannot be told' },
};

/** What is missing or wrong on the platform's side, with what to do. Changes nothing there. */
export async function checkSlack({
  settings,
  register,
  now,
  fetch: send = fetch,
}: CheckParts): Promise<readonly Finding[]> {
  const { botToken, appToken, apiUrl } = settings;
  const web = openWeb({ token: botToken, apiUrl, send });
  const found = [...(await botFindings(settings, now, send))];
  if (found.some(({ state }) => state === 'blocks')) return found;
  if (appToken !== null) found.push(await socketFinding(openWeb({ token: appToken, apiUrl, send })));
  if (register === null) return found;
  found.push(...peopleFindings(register), ...(await roomFindings(web, settings, register)));
  return found;
}

/** Asked by hand: the scopes stand in a header of the answer, and the platform's clock too. */
async function botFindings(
  { botToken, apiUrl }: SlackSettings,
  now: () => number,
  send: typeof fetch,
): Promise<readonly Finding[]> {
  const url = new URL('auth.test', apiUrl ?? 'https://slack.com/api/');
  let answer: Response;
  const from = now();
  try {
    const headers = { authorization: `Bearer ${botToken}` };
    answer = await send(url, { method: 'POST', headers, signal: AbortSignal.timeout(10_000) });
  } catch {
    return [blocks(`${url.host} does not answer`, 'Look at the network of this computer, and at its proxy.')];
  }
  const read = (await answer.json().catch(() => ({}))) as { ok?: unknown; error?: unknown; team?: unknown };
  if (read.ok !== true)
    return [
      blocks(
        `SLACK_BOT_TOKEN is not taken (${String(read.error)})`,
        'Install the app again and copy its bot token.',
      ),
    ];
  return [
    good(`the bot is installed in ${String(read.team)}`),
    ...scopeFindings(answer.headers.get('x-oauth-scopes')),
    ...clockFindings(answer.headers.get('date'), (from + now()) / 2),
  ];
}

function scopeFindings(header: string | null): readonly Finding[] {
  if (header === null)
    return [note('its scopes cannot be told', 'Compare them with the manifest in the README.')];
  const has = new Set(header.split(',').map((one) => one.trim()));
  const remedy =
    'Add it under "OAuth & Permissions", or paste the manifest again; then install the app again.';
  return Object.entries(SCOPES).flatMap(([scope, { needed, without }]) => {
    if (has.has(scope)) return [];
    return [(needed ? blocks : note)(`the scope ${scope} is missing: ${without}`, remedy)];
  });
}

/** Words count by the platform's time, gates and waits by ours. */
const SKEW_MS = 30_000;

function clockFindings(date: string | null, ours: number): readonly Finding[] {
  const theirs = Date.parse(date ?? '');
  if (!Number.isFinite(theirs)) return [];
  const seconds = Math.round((ours - theirs) / 1000);
  if (Math.abs(ours - theirs) <= SKEW_MS) return [good('the clocks agree')];
  return [
    blocks(
      `this computer's clock is ${Math.abs(seconds)} s ${seconds > 0 ? 'ahead of' : 'behind'} the platform's`,
      'Set it, best by the network: waits and cures rest on it.',
    ),
  ];
}

async function socketFinding(web: Web): Promise<Finding> {
  try {
    await web.call('apps.connections.open', {});
    return good('sockets can be opened');
  } catch (error) {
    if (!(error instanceof WebFault)) throw error;
    return blocks(
      `SLACK_APP_TOKEN opens no socket (${error.says})`,
      'Turn Socket Mode on, and make an app-level token with the scope connections:write.',
    );
  }
}

function peopleFindings(register: Register): readonly Finding[] {
  const with_ = new Set(
    [...register.accounts].flatMap(([account, id]) => (account.startsWith(`${VIA}:`) ? [id] : [])),
  );
  const without = [...register.people.keys()].filter((id) => !with_.has(id));
  const remedy = `Write "accounts": { "${VIA}": "U…" } beside them in people.json; the member id stands in their profile.`;
  if (without.length === 0) return [good('everybody in the register has an account')];
  const words = `without an account, and so guests who confirm nothing: ${without.join(', ')}`;
  return [(with_.size === 0 ? blocks : note)(words, remedy)];
}

async function roomFindings(
  web: Web,
  settings: SlackSettings,
  register: Register,
): Promise<readonly Finding[]> {
  const rooms = roomsOf(register, settings);
  const found: Finding[] = [];
  const without = [...register.bays.keys()].filter((bay) => rooms.channelOf(bay) === null);
  if (without.length > 0) {
    const remedy = `Write "accounts": { "${VIA}": "C…" } beside them in bays.json; the id stands in the channel's details.`;
    found.push(
      (without.length === register.bays.size ? blocks : note)(
        `bays without a channel: ${without.join(', ')}`,
        remedy,
      ),
    );
  }
  if (rooms.foreman === null) {
    const remedy = 'Set SLACK_FOREMAN_CHANNEL, so that calls do not stand between the answers of a bay.';
    found.push(note('the foreman has no channel', remedy));
  }
  for (const channel of rooms.all) {
    const { state, says } = await roomState(web, channel);
    if (state === 'shared')
      found.push(
        blocks(
          `${says} is shared with another workspace`,
          'Use a channel of your own; in a shared one nothing is taken.',
        ),
      );
    else if (state === 'not-member')
      found.push(blocks(`the bot is not in ${says}`, 'Type /invite and the name of the bot there.'));
    else if (state === 'cannot-tell')
      found.push(note(`${channel} cannot be looked at (${says})`, 'See that it is not shared with others.'));
    else found.push(good(`the bot is in ${says}`));
  }
  return found;
}
