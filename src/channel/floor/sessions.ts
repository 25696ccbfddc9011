import { createHash, randomBytes } from 'node:crypto';
import * as z from 'zod';
import type { Disk } from '../../journal/disk.js';
import { FOLDER } from './ledger-files.js';

/** Who speaks from a browser. */
export type Session = {
  readonly person: string;
  /** Their own phone; false for a screen that several people use. */
  readonly own: boolean;
  /** When they signed in, ms since 1970. */
  readonly at: number;
};

export type Sessions = {
  /** Who holds this token, or null. */
  of(token: string | null, now: number): Session | null;
  /** Signs in and gives the token for the cookie. */
  open(session: Session): Promise<string>;
  close(token: string): Promise<void>;
};

/** How long a sign-in lasts: a month on one's own phone, a long shift on a shared screen. Common practice, no source. */
export const LASTS_MS = { own: 30 * 86_400_000, shared: 12 * 3_600_000 } as const;
const MOST = 500;
const PATH = `${FOLDER}/sessions.json`;
const KEPT = z.strictObject({
  sessions: z.array(
    z.strictObject({ hash: z.string(), person: z.string(), own: z.boolean(), at: z.number() }),
  ),
});

/** Opens the sign-ins that a data folder keeps. A token is kept only as its hash; it is long and random. */
export async function openSessions(disk: Disk): Promise<Sessions> {
  const sessions = new Map<string, Session>();
  for (const { hash, ...session } of parse(await disk.read(PATH))) sessions.set(hash, session);

  const keep = async () => {
    const list = [...sessions].slice(-MOST).map(([hash, session]) => ({ hash, ...session }));
    // A disk that takes nothing may not keep anybody from signing in: they will have to do it again, that is all.
    try {
      await disk.write(`${PATH}.new`, Buffer.from(`${JSON.stringify({ sessions: list })}\n`));
      await disk.rename(`${PATH}.new`, PATH);
    } catch {}
  };

  return {
    of: (token, now) => {
      if (token === null) return null;
      const session = sessions.get(hashOf(token));
      if (session === undefined) return null;
      return now < session.at + (session.own ? LASTS_MS.own : LASTS_MS.shared) ? session : null;
    },
    open: async (session) => {
      const token = randomBytes(32).toString('base64url');
      sessions.set(hashOf(token), session);
      for (const hash of [...sessions.keys()].slice(0, -MOST)) sessions.delete(hash);
      await keep();
      return token;
    },
    close: async (token) => {
      if (sessions.delete(hashOf(token))) await keep();
    },
  };
}

/** The name under which a token is counted and kept. */
export function hashOf(token: string): string {
  return createHash('sha256').update(token).digest('hex');
}

function parse(bytes: Buffer | null): z.output<typeof KEPT>['sessions'] {
  try {
    const parsed = KEPT.safeParse(JSON.parse(bytes?.toString('utf8') ?? ''));
    return parsed.success ? parsed.data.sessions : [];
  } catch {
    return [];
  }
}
