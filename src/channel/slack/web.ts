import { webApi } from '@slack/bolt';
import { quiet } from './logger.js';

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

export type WebParts = {
  readonly token: string;
  readonly apiUrl: string | null;
  readonly timeoutMs?: number;
  readonly fetch?: typeof fetch;
};

/** Calls a method of the Web API once, and says how it went. Nothing is ever sent again by itself. */
export type Web = {
  /** @throws {WebFault} */
  call(method: string, args: Readonly<Record<string, unknown>>): Promise<Readonly<Record<string, unknown>>>;
};

/** Options of every client: no second attempt, an end to waiting, no pause of everybody for one that is limited. */
export function clientOptions({ apiUrl, timeoutMs = TIMEOUT_MS, fetch }: Omit<WebParts, 'token'>) {
  return {
    ...(apiUrl === null ? {} : { slackApiUrl: apiUrl }),
    ...(fetch === undefined ? {} : { fetch }),
    timeout: timeoutMs,
    retryConfig: { retries: 0 },
    rejectRateLimitedCalls: true,
  };
}

const TIMEOUT_MS = 8000;

export function openWeb(parts: WebParts): Web {
  const client = new webApi.WebClient(parts.token, { ...clientOptions(parts), logger: quiet() });
  return {
    call: async (method, args) => {
      try {
        return { ...(await client.apiCall(method, { ...args })) };
      } catch (error) {
        throw faultOf(error);
      }
    },
  };
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

function faultOf(error: unknown): WebFault {
  if (error instanceof webApi.WebAPIRateLimitedError)
    return new WebFault('limited', 'ratelimited', error.retryAfter * 1000, error);
  if (error instanceof webApi.WebAPIPlatformError) {
    const says = error.data.error;
    if (says === 'ratelimited') return new WebFault('limited', says, LIMITED_MS, error);
    return new WebFault(PARTLY.has(says) ? 'unknown' : 'refused', says, 0, error);
  }
  if (error instanceof webApi.WebAPIHTTPError) {
    return new WebFault(
      error.statusCode >= 500 ? 'unknown' : 'refused',
      `http_${error.statusCode}`,
      0,
      error,
    );
  }
  if (error instanceof webApi.WebAPIRequestError) {
    const says = codeOf(error.original);
    return new WebFault(NO_LINE.has(says) ? 'not-sent' : 'unknown', says, 0, error);
  }
  const words = error instanceof Error ? error.message : String(error);
  // The client's own words where a limit came without a time.
  if (words.startsWith('Retry header')) return new WebFault('limited', 'ratelimited', LIMITED_MS, error);
  return new WebFault('unknown', words, 0, error);
}

function codeOf(error: Error): string {
  const { cause } = error as { cause?: unknown };
  if (typeof cause === 'object' && cause !== null && 'code' in cause) return String(cause.code);
  return error.name;
}
