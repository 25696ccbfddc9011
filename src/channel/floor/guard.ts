import { networkInterfaces } from 'node:os';
import type { Context, MiddlewareHandler } from 'hono';

/** What every answer says: nothing from elsewhere is loaded, framed, guessed or told onwards. */
export const HEADERS: Readonly<Record<string, string>> = {
  'content-security-policy':
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; " +
    "form-action 'none'; base-uri 'none'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'x-frame-options': 'DENY',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'permissions-policy': 'camera=(), microphone=(), geolocation=()',
};

/** Whether only this computer reaches what listens there. */
export function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || /^127(?:\.\d{1,3}){3}$/.test(host);
}

/**
 * The host names, with their port, under which this server may be spoken to: this computer's own, the address it listens
 * on, for "all addresses" each one that this computer has, and `names` as they are.
 */
export function hostsOf(listens: string, port: number, names: readonly string[]): ReadonlySet<string> {
  const hosts = new Set(names.map((name) => name.toLowerCase()));
  const all = listens === '0.0.0.0' || listens === '::';
  const addresses = all ? Object.values(networkInterfaces()).flatMap((list) => list ?? []) : [];
  const own = all ? addresses.map(({ address }) => address) : [listens.toLowerCase()];
  for (const address of ['127.0.0.1', 'localhost', '::1', ...own]) {
    const name = address.includes(':') ? `[${address}]` : address;
    hosts.add(`${name}:${port}`);
    if (port === 80) hosts.add(name);
  }
  return hosts;
}

/**
 * Refuses what does not come from this server's own page: another host name than ours (a name that was turned to this
 * address), another origin, a request that another site makes a browser send.
 */
export function guard(hosts: () => ReadonlySet<string>): MiddlewareHandler {
  return async (c, next) => {
    for (const [name, value] of Object.entries(HEADERS)) c.header(name, value);
    const host = c.req.header('host')?.toLowerCase() ?? '';
    if (!hosts().has(host)) {
      return c.json({ why: 'This address is not known here. Use the one that the program printed.' }, 421);
    }
    const why = refusal(c, host);
    return why === null ? next() : c.json({ ask: 'nothing', why }, 403);
  };
}

function refusal(c: Context, host: string): string | null {
  const origin = c.req.header('origin');
  const site = c.req.header('sec-fetch-site');
  if (origin !== undefined && hostOf(origin) !== host) return 'Another page may not do that.';
  const reads = c.req.method === 'GET' || c.req.method === 'HEAD';
  if (reads) {
    // A link in a message may open the page; nothing else of ours may be loaded from elsewhere.
    const opens =
      c.req.header('sec-fetch-mode') === 'navigate' && c.req.header('sec-fetch-dest') === 'document';
    return (site === 'cross-site' || site === 'same-site') && !opens
      ? 'Another page may not read that.'
      : null;
  }
  if (site !== undefined && site !== 'same-origin') return 'Another page may not do that.';
  // A form of another site cannot set this header, and a script of one is asked first and refused.
  return c.req.header('x-floor') === '1' ? null : 'The header x-floor: 1 is missing.';
}

function hostOf(origin: string): string | null {
  try {
    const { protocol, host } = new URL(origin);
    return protocol === 'http:' || protocol === 'https:' ? host : null;
  } catch {
    return null;
  }
}
