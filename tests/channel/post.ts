import type { OutPost } from '../../src/desk/port.js';
import type { Post } from '../../src/talk/post.js';

/** A post for tests: told in the bay unless the row says otherwise. */
export function post(parts: Partial<Post>): Post {
  return { to: 'bay', kind: 'told', lines: [['Hello.']], buttons: [], visit: null, ...parts };
}

/** The same on its way out. */
export function outPost({
  bay = '1',
  key = 'QM-2603-001:1:bay',
  ...parts
}: Partial<Post> & { bay?: string; key?: string }): OutPost {
  return { key, bay, job: 'QM-2603-001', post: post(parts), again: false };
}
