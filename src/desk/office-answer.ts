/**
 * What words in the foreman's thread were answered, in codes: the shop journal keeps it, and it is said anew when a crash
 * kept it from being told. A new answer gets an entry here and its words in `office-saying.ts`.
 */
export type OfficeAnswer =
  | { readonly is: 'board' }
  | { readonly is: 'help' }
  /** The end-of-day post, the morning post or the due list, as things stand now. */
  | DayAnswer
  /** Only the foreman and deputies may; the ids of those who can now. */
  | { readonly is: 'foreman-does'; readonly foremen: readonly string[] }
  | { readonly is: 'not-registered' }
  | { readonly is: 'not-understood'; readonly said: string; readonly nearest: string | null }
  | { readonly is: 'write-anew' }
  /** `told`: the bay's own news of it stands in this thread already. */
  | { readonly is: 'passed-on'; readonly bay: string; readonly words: string; readonly told: boolean }
  /** What only who stands in the bay may say. */
  | { readonly is: 'not-from-here'; readonly bay: string; readonly what: 'gate' | 'start' }
  | { readonly is: 'stop'; readonly bays: readonly string[]; readonly danger: string | null };

/** What is read from the journals of the day. */
export type DayAnswer = { readonly is: 'day' } | { readonly is: 'morning' } | { readonly is: 'due' };
