export const JOURNAL_ERRORS = [
  'bad-id',
  'no-start',
  'no-bundle',
  'wrong-seq',
  'not-written',
  'stopped',
  'read-only',
  'finished',
  'unknown-job',
] as const;
export type JournalErrorCode = (typeof JOURNAL_ERRORS)[number];

/**
 * A line was not taken. After `not-written` nothing of it is on the disk and the same line may be offered again;
 * after `stopped` and `read-only` the file takes no more lines in this run; the others are slips of the program.
 */
export class JournalError extends Error {
  constructor(
    readonly code: JournalErrorCode,
    /** The file under the data folder. */
    readonly file: string,
    message: string,
    cause?: unknown,
  ) {
    super(message, cause === undefined ? undefined : { cause });
    this.name = 'JournalError';
  }
}
