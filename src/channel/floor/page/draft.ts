import { newKey } from './send.js';
import type { ThreadId } from './state.js';

/**
 * What somebody has typed and not yet sent, per thread of this tab. It survives a reload, and the same words sent
 * again after an unknown fate keep their key, so that they count once.
 */
export type Draft = { readonly text: string; readonly key: string };

const NAME = 'floor-draft ';

export function draftOf(thread: ThreadId): Draft {
  const kept = read(NAME + thread);
  if (kept !== null) {
    const at = kept.indexOf(' ');
    if (at > 0) return { key: kept.slice(0, at), text: kept.slice(at + 1) };
  }
  return { text: '', key: newKey() };
}

export function keepDraft(thread: ThreadId, text: string): Draft {
  const before = draftOf(thread);
  const draft = text === before.text && text !== '' ? before : { text, key: newKey() };
  write(NAME + thread, text === '' ? null : `${draft.key} ${draft.text}`);
  return draft;
}

/** Storage may be shut off; then drafts live as long as the page. */
const kept = new Map<string, string>();

function read(name: string): string | null {
  try {
    return sessionStorage.getItem(name) ?? kept.get(name) ?? null;
  } catch {
    return kept.get(name) ?? null;
  }
}

function write(name: string, value: string | null): void {
  if (value === null) kept.delete(name);
  else kept.set(name, value);
  try {
    if (value === null) sessionStorage.removeItem(name);
    else sessionStorage.setItem(name, value);
  } catch {
    // The copy in memory is kept.
  }
}
