import type { Ui } from './ui.js';

/** What the parts of a page may know of the tab they are in, and change in it. */
export type Tab = {
  ui(): Ui;
  put(part: Partial<Ui>): void;
  /** Whether what is drawn is what is: nothing but STOP is sent otherwise. */
  live(): boolean;
  /** Puts the focus on the first of these once it has been drawn. */
  focusSoon(selector: string): void;
};
