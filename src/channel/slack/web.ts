import { request } from 'undici';
import * as z from 'zod';

/** The Web API did not do what it was asked, as far as anybody knows. */
export class WebFault extends Error {
  constructor(
    /**
     * `refused`: surely not done, and saying it again changes nothing. `limited`: too much at once, not done.
     * `not-sent`: never reached the platform. `unknown`: it may have been done.
     */
    readonly code: 'refused' | 'limited' | 'not-sent' | 'unknown',
    /** The platform's own word for it, such as `channel_not_found`. */
    readonly says: string,
    readonly retryMs: number = 0,
    cause?: unknown,
  ) {
    super(`${code}: ${says}`, { cause });
    this.name = 'WebFault';
  }
}

/** Sends one request and gives what came back; `fetch` is one such. Throws where nothing came back. */
export type Send = (
  url: string,
  init: {
    readonly method: 'POST';
    readonly headers: Record<string, string>;
    readonly body: string;
    readonly signal: AbortSignal;
  },
) => Promise<{
  readonly status: number;
  readonly headers: { get(name: string): string | null };
  text(): Promise<string>;
}>;

export type WebParts = {
  readonly token: string;
  readonly apiUrl: string | null;
  readonly timeoutMs?: number;
  readonly send?: Send;
};

/** Calls a method of the Web API once, and says how it went. Nothing is ever sent again by itself. */
export type Web = {
  /** @throws {WebFault} */
  call(method: string, args: Readonly<Record<string, unknown>>): Promise<Readonly<Record<string, unknown>>>;
};

/** Options of the library's own client: no second attempt, an end to waiting, no pause of everybody for one limit. */
export function clientOptions({
  apiUrl,
  fetch,
}: {
  readonly apiUrl: string | null;
  readonly fetch?: typeof globalThis.fetch;
}) {
  return {
    ...(apiUrl === null ? {} : { slackApiUrl: apiUrl }),
    ...(fetch === undefined ? {} : { fetch }),
    timeout: TIMEOUT_MS,
    retryConfig: { retries: 0 },
    rejectRateLimitedCalls: true,
  };
}

const TIMEOUT_MS = 8000;
const PLATFORM = 'https://slack.com/api/';
const ANSWER = z.looseObject({ ok: z.boolean(), error: z.string().nullish() });

/**
 * A client of our own: the library's one queues, retries and logs, which the outbox does with more care, and takes
 * nearly three times as long for a call on the same line.
 */
export function openWeb({ token, apiUrl, timeoutMs = TIMEOUT_MS, send = overTheLine }: WebParts): Web {
  const base = apiUrl === null ? PLATFORM : apiUrl.replace(/\/*$/, '/');
  const headers = {
    authorization: `Bearer ${token}`,
    'content-type': 'application/x-www-form-urlencoded',
  };
  return {
    call: async (method, args) => {
      const init = { method: 'POST', headers, body: formOf(args) } as const;
      try {
        const signal = AbortSignal.timeout(timeoutMs);
        const answer = await send(`${base}${method}`, { ...init, signal });
        return readAnswer(answer.status, answer.headers.get('retry-after'), await answer.text());
      } catch (error) {
        throw error instanceof WebFault ? error : lineFault(error);
      }
    },
  };
}

/** By HTTP, connections kept. */
export const overTheLine: Send = async (url, init) => {
  const { statusCode, headers, body } = await request(url, init);
  return {
    status: statusCode,
    headers: { get: (name) => headers[name]?.toString() ?? null },
    text: () => body.text(),
  };
};

/** As the platform wants it: a form, whatever is no text as JSON. What is undefined is left out. */
function formOf(args: Readonly<Record<string, unknown>>): string {
  const form = new URLSearchParams();
  for (const [name, value] of Object.entries(args))
    if (value !== undefined) form.append(name, typeof value === 'string' ? value : JSON.stringify(value));
  return form.toString();
}

/** The platform's faults of its own: it may have done a part of it. */
const PARTLY = new Set([
  'internal_error',
  'fatal_error',
  'service_unavailable',
  'request_timeout',
  'team_added_to_org',
]);
/** The line was never there. */
const NO_LINE = new Set([
  'ECONNREFUSED',
  'ENOTFOUND',
  'EAI_AGAIN',
  'ENETUNREACH',
  'EHOSTUNREACH',
  'UND_ERR_CONNECT_TIMEOUT',
]);
const LIMITED_MS = 30_000;

function readAnswer(status: number, retryAfter: string | null, text: string): z.output<typeof ANSWER> {
  if (status === 429) throw new WebFault('limited', 'ratelimited', waitOf(retryAfter));
  if (status < 200 || status > 299)
    throw new WebFault(status >= 500 ? 'unknown' : 'refused', `http_${status}`);
  const read = ANSWER.safeParse(parsed(text));
  // Some proxy's page, perhaps: nobody knows what was done.
  if (!read.success) throw new WebFault('unknown', 'unreadable_answer');
  if (read.data.ok) return read.data;
  const says = read.data.error ?? 'no_reason';
  if (says === 'ratelimited') throw new WebFault('limited', says, waitOf(retryAfter));
  throw new WebFault(PARTLY.has(says) ? 'unknown' : 'refused', says);
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** Seconds as the header has them, in ms. */
function waitOf(retryAfter: string | null): number {
  const seconds = Number(retryAfter ?? '');
  return seconds > 0 ? seconds * 1000 : LIMITED_MS;
}

function lineFault(error: unknown): WebFault {
  const says = codeOf(error);
  return new WebFault(NO_LINE.has(says) ? 'not-sent' : 'unknown', says, 0, error);
}

/** The system's own code, from the error or what caused it. */
function codeOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  if ('code' in error && typeof error.code === 'string') return error.code;
  return error.cause instanceof Error ? codeOf(error.cause) : error.name;
}
