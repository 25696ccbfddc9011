import type { Post } from './post.js';

/** Longer, and nobody reads it on a phone: the rest makes a post of its own. */
const MOST_LINES = 24;

/**
 * A post that could not be delivered together with the one that came after it in the same thread, as one post; null
 * where both have to stand by themselves. What was told stays, in order; a question that was followed by another one
 * is over. Cards, alerts and summaries are never taken together with anything. Pure.
 */
export function inOne(older: Post, newer: Post): Post | null {
  if (older.to !== newer.to || !isPlain(older) || !isPlain(newer)) return null;
  const current = asks(newer) ? newer : older;
  const telling = [...tellingOf(older), ...tellingOf(newer)];
  const asking = current.lines.slice(current.lines.length - askingOf(current));
  if (telling.length + asking.length > MOST_LINES) return null;
  return {
    to: newer.to,
    kind: asks(current) ? 'question' : 'told',
    lines: [...telling, ...asking],
    buttons: current.buttons,
    ...(asking.length === 0 ? {} : { asking: asking.length }),
    visit: current.visit,
  };
}

const isPlain = ({ kind }: Post) => kind === 'question' || kind === 'told';
const askingOf = ({ asking = 0 }: Post) => asking;
const asks = (post: Post) => askingOf(post) > 0 || post.buttons.length > 0 || post.visit !== null;
const tellingOf = (post: Post) => post.lines.slice(0, post.lines.length - askingOf(post));
