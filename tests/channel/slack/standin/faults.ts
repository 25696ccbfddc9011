import type { Args, Reply } from './web-api.js';

/** What goes wrong with the next calls of a method. */
export type Fault = {
  readonly method: string;
  /** Only calls for this channel; any otherwise. */
  readonly channel?: string;
  /** How many calls; 1 unless said. */
  times?: number;
  /** The platform did the work; the answer is what is lost. */
  readonly afterStore?: boolean;
} & (
  | {
      readonly does: 'answer';
      readonly status: number;
      readonly headers?: Readonly<Record<string, string>>;
      readonly body?: unknown;
    }
  /** Never answers. */
  | { readonly does: 'hang' }
  /** Cuts the line. */
  | { readonly does: 'cut' }
);

/** `Retry-After` in seconds. */
export const limited = (method: string, seconds: number, channel?: string): Fault => ({
  method,
  ...(channel === undefined ? {} : { channel }),
  does: 'answer',
  status: 429,
  headers: { 'retry-after': String(seconds) },
  body: { ok: false, error: 'ratelimited' },
});

/** The platform stored it and answered with a fault of its own. */
export const storedThen500 = (method: string): Fault => ({
  method,
  does: 'answer',
  status: 500,
  afterStore: true,
  body: 'oops',
});

export class Faults {
  private readonly waiting: Fault[] = [];

  add(fault: Fault): void {
    this.waiting.push({ times: 1, ...fault });
  }

  clear(): void {
    this.waiting.length = 0;
  }

  /** The fault that befalls this call, used up. */
  take(method: string, args: Args): Fault | null {
    const at = this.waiting.findIndex(
      (one) => one.method === method && (one.channel === undefined || one.channel === args.channel),
    );
    const fault = this.waiting[at];
    if (fault === undefined) return null;
    fault.times = (fault.times ?? 1) - 1;
    if (fault.times <= 0) this.waiting.splice(at, 1);
    return fault;
  }
}

export function replyOf(fault: Fault): Reply {
  if (fault.does === 'answer')
    return { status: fault.status, headers: fault.headers ?? {}, body: fault.body ?? {} };
  return fault.does;
}
