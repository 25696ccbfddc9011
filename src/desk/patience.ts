import { Undelivered } from './port.js';

/** Runs something after so many ms, unless it is called off before with what this gives back. */
export type Timer = (ms: number, run: () => void) => () => void;

/** How long a channel may take over one post or one question before its outcome counts as unknown. */
export type Patience = { readonly ms: number; readonly timer: Timer };

const wallTimer: Timer = (ms, run) => {
  const timeout = setTimeout(run, ms);
  return () => clearTimeout(timeout);
};

/** Ten seconds of wall time: common practice, no source. */
export const PATIENCE: Patience = { ms: 10_000, timer: wallTimer };

/**
 * What the channel says, if it says it in time. What it says later is not listened to: it will be asked.
 *
 * @throws {Undelivered} `unknown` when it takes longer, and what the channel throws.
 */
export function within<T>(asked: Promise<T>, { ms, timer }: Patience): Promise<T> {
  return new Promise((resolve, reject) => {
    const callOff = timer(ms, () => reject(new Undelivered('unknown', new Late(ms))));
    asked.then(
      (said) => {
        callOff();
        resolve(said);
      },
      (error: unknown) => {
        callOff();
        reject(error);
      },
    );
  });
}

/** The channel did not answer. */
export class Late extends Error {
  constructor(ms: number) {
    super(`the channel did not answer within ${ms / 1000} s`);
    this.name = 'Late';
  }
}
