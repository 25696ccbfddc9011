import { dotsOf, LETTER_HEIGHT, LETTER_STEP, LETTER_WIDTH } from './letters.js';

export type Colour = readonly [red: number, green: number, blue: number];

const MOST_SLANT = 16;

/** Something to draw on, in pixels, y down. All strokes are round at their ends and smooth at their edges. */
export class Canvas {
  readonly rgb: Uint8Array;

  constructor(
    readonly width: number,
    readonly height: number,
    ground: Colour,
  ) {
    this.rgb = new Uint8Array(width * height * 3);
    for (let at = 0; at < this.rgb.length; at++) this.rgb[at] = ground[at % 3] ?? 0;
  }

  /** A line of this thickness; a dot where it has no length. */
  stroke(x1: number, y1: number, x2: number, y2: number, thick: number, colour: Colour): void {
    const radius = thick / 2;
    const [dx, dy] = [x2 - x1, y2 - y1];
    if (Math.min(Math.abs(dx), Math.abs(dy)) > MOST_SLANT) {
      // A long slant touches few pixels of the square around it.
      const [x, y] = [x1 + dx / 2, y1 + dy / 2];
      this.stroke(x1, y1, x, y, thick, colour);
      return this.stroke(x, y, x2, y2, thick, colour);
    }
    const square = dx * dx + dy * dy;
    const left = Math.max(0, Math.floor(Math.min(x1, x2) - radius - 1));
    const right = Math.min(this.width - 1, Math.ceil(Math.max(x1, x2) + radius + 1));
    const top = Math.max(0, Math.floor(Math.min(y1, y2) - radius - 1));
    const bottom = Math.min(this.height - 1, Math.ceil(Math.max(y1, y2) + radius + 1));
    for (let y = top; y <= bottom; y++) {
      for (let x = left; x <= right; x++) {
        const along = square === 0 ? 0 : ((x - x1) * dx + (y - y1) * dy) / square;
        const on = Math.max(0, Math.min(1, along));
        const away = Math.hypot(x - x1 - on * dx, y - y1 - on * dy);
        this.mix(x, y, radius + 0.5 - away, colour);
      }
    }
  }

  /** The same in pieces, for what is worked out and not measured. */
  dashes(x1: number, y1: number, x2: number, y2: number, thick: number, colour: Colour): void {
    const length = Math.hypot(x2 - x1, y2 - y1);
    const piece = thick * 3;
    for (let from = 0; from < length; from += piece * 2) {
      const [a, b] = [from / length, Math.min(1, (from + piece) / length)];
      this.stroke(
        x1 + (x2 - x1) * a,
        y1 + (y2 - y1) * a,
        x1 + (x2 - x1) * b,
        y1 + (y2 - y1) * b,
        thick,
        colour,
      );
    }
  }

  /** Words with their upper left corner there; `dot` is the size of a letter's dot in pixels. */
  words(text: string, x: number, y: number, dot: number, colour: Colour): void {
    const thick = dot * 1.15;
    for (const [at, letter] of [...text].entries()) {
      const has = dotsOf(letter);
      const place = (column: number, row: number) =>
        [x + (at * LETTER_STEP + column + 0.5) * dot, y + (row + 0.5) * dot] as const;
      for (let column = 0; column < LETTER_WIDTH; column++) {
        for (let row = 0; row < LETTER_HEIGHT; row++) {
          if (!has(column, row)) continue;
          const [x1, y1] = place(column, row);
          this.stroke(x1, y1, x1, y1, thick, colour);
          for (const [dx, dy] of [
            [1, 0],
            [0, 1],
            [1, 1],
            [1, -1],
          ] as const) {
            const cornered = dx !== 0 && dy !== 0 && (has(column + dx, row) || has(column, row + dy));
            if (!has(column + dx, row + dy) || cornered) continue;
            this.stroke(x1, y1, x1 + dx * dot, y1 + dy * dot, thick, colour);
          }
        }
      }
    }
  }

  /** How wide words are, in pixels. */
  static widthOf(text: string, dot: number): number {
    return Math.max(0, [...text].length * LETTER_STEP - 1) * dot;
  }

  private mix(x: number, y: number, share: number, colour: Colour): void {
    if (share <= 0) return;
    const cover = Math.min(1, share);
    const at = (y * this.width + x) * 3;
    for (let part = 0; part < 3; part++)
      this.rgb[at + part] = Math.round(
        (this.rgb[at + part] ?? 0) * (1 - cover) + (colour[part] ?? 0) * cover,
      );
  }
}
