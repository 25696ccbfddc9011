import type { Button } from '../../talk/post.js';
import { cut, LIMITS } from './limits.js';

/** What a button carries: the job and the visit it belongs to, whom it was drawn for, and what a tap says. */
export type Carried = {
  readonly job: string;
  readonly visit: string;
  readonly person: string;
  readonly says: string;
};

const ACTION = /^say:\d+$/;

/** The actions of a question's buttons, as the app listens for them. */
export const SAYS = ACTION;

export type DrawnButton = {
  readonly type: 'button';
  readonly action_id: string;
  readonly text: { readonly type: 'plain_text'; readonly text: string; readonly emoji: false };
  readonly value: string;
  readonly accessibility_label: string;
};

/** At most three buttons, their labels short enough for a phone. */
export function drawButtons(buttons: readonly Button[], of: Omit<Carried, 'says'>): readonly DrawnButton[] {
  return buttons.slice(0, LIMITS.buttons).map(({ label, says }, at) => ({
    type: 'button',
    action_id: `say:${at}`,
    text: { type: 'plain_text', text: cut(label, LIMITS.buttonText), emoji: false },
    value: JSON.stringify([of.job, of.visit, of.person, says]),
    accessibility_label: cut(label, LIMITS.accessibilityLabel),
  }));
}

/** What a button that came back carries; null when it is none of ours. */
export function readButton(value: string): Carried | null {
  try {
    const read: unknown = JSON.parse(value);
    if (!Array.isArray(read) || read.length !== 4 || !read.every((one) => typeof one === 'string'))
      return null;
    const [job = '', visit = '', person = '', says = ''] = read as string[];
    return { job, visit, person, says };
  } catch {
    return null;
  }
}
