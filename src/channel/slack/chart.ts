import type { Curve, Pattern, Picture } from '../../record/picture.js';
import { Canvas, type Colour } from './canvas.js';
import { cut } from './limits.js';
import { printPng } from './png.js';

const [WIDTH, HEIGHT] = [960, 720];
const [GROUND, INK, FAINT]: readonly [Colour, Colour, Colour] = [
  [255, 255, 255],
  [30, 34, 40],
  [206, 211, 218],
];
/** Apart in brightness too, for eyes that do not tell colours. */
const COLOURS: readonly Colour[] = [
  [0, 92, 175],
  [200, 80, 0],
  [0, 128, 96],
];
const MARK: Colour = [150, 30, 90];
const [TITLE, SMALL] = [4, 3] as const;
const EDGE = 24;
const PLOT = { left: 120, right: WIDTH - 40, top: 150, bottom: HEIGHT - 100 };
const MOST_MARKS = 4;

/** A picture of the record as a PNG that is readable on a phone. What it shows stands in its `alt` too. */
export function printChart(picture: Picture): Promise<Buffer> {
  const canvas = new Canvas(WIDTH, HEIGHT, GROUND);
  canvas.words(cut(picture.title, lettersIn(TITLE)), EDGE, EDGE, TITLE, INK);
  if (picture.kind === 'curve') drawCurve(canvas, picture);
  else drawPattern(canvas, picture);
  return printPng(WIDTH, HEIGHT, canvas.rgb);
}

const lettersIn = (dot: number) => Math.floor((WIDTH - 2 * EDGE) / (6 * dot));

function drawCurve(canvas: Canvas, { x, series, marks }: Curve): void {
  const shown = marks.slice(0, MOST_MARKS);
  const across = scaleOf([...x.values, ...shown.map(({ at }) => at)]);
  const values = series.flatMap((one) => one.values.filter((value) => value !== null));
  const up = scaleOf([0, ...values]);
  const atX = (value: number) =>
    PLOT.left + ((value - across.from) / (across.to - across.from)) * (PLOT.right - PLOT.left);
  const atY = (value: number) =>
    PLOT.bottom - ((value - up.from) / (up.to - up.from)) * (PLOT.bottom - PLOT.top);
  for (const tick of up.ticks) {
    canvas.stroke(PLOT.left, atY(tick), PLOT.right, atY(tick), 1.5, FAINT);
    const text = numberText(tick);
    canvas.words(text, PLOT.left - 14 - Canvas.widthOf(text, SMALL), atY(tick) - 10, SMALL, INK);
  }
  for (const tick of across.ticks) {
    const text = numberText(tick);
    canvas.stroke(atX(tick), PLOT.bottom, atX(tick), PLOT.bottom + 8, 2, INK);
    canvas.words(text, atX(tick) - Canvas.widthOf(text, SMALL) / 2, PLOT.bottom + 18, SMALL, INK);
  }
  canvas.stroke(PLOT.left, PLOT.bottom, PLOT.right, PLOT.bottom, 2.5, INK);
  const below = `${x.unit} ${x.label}`;
  canvas.words(cut(below, lettersIn(SMALL)), PLOT.left, HEIGHT - 46, SMALL, INK);
  let beside = EDGE;
  for (const [at, { label, unit, dashed = false }] of series.entries()) {
    const colour = colourOf(at);
    const text = `${label}, ${unit}`;
    const line = dashed ? canvas.dashes : canvas.stroke;
    line.call(canvas, beside, 90, beside + 40, 90, 5, colour);
    canvas.words(text, beside + 52, 80, SMALL, INK);
    beside += 52 + Canvas.widthOf(text, SMALL) + 36;
  }
  for (const [at, { at: place, label }] of shown.entries()) {
    const [left, row] = [atX(place), PLOT.top + 6 + at * 30];
    canvas.dashes(left, PLOT.top, left, PLOT.bottom, 2, MARK);
    const wide = Canvas.widthOf(label, SMALL);
    const from = left + 8 + wide > WIDTH - 8 ? left - 8 - wide : left + 8;
    canvas.words(label, Math.max(PLOT.left + 4, from), row, SMALL, MARK);
  }
  for (const [at, { values: of, dashed = false }] of series.entries())
    drawLine(
      canvas,
      x.values.map(atX),
      of.map((value) => (value === null ? null : atY(value))),
      {
        colour: colourOf(at),
        dashed,
      },
    );
}

function drawLine(
  canvas: Canvas,
  xs: readonly number[],
  ys: readonly (number | null)[],
  { colour, dashed }: { readonly colour: Colour; readonly dashed: boolean },
): void {
  const points = xs.flatMap((x, at) => {
    const y = ys[at];
    return y === undefined || y === null ? [] : [{ x, y }];
  });
  for (const [at, { x, y }] of points.entries()) {
    const next = points[at + 1];
    if (next !== undefined && dashed) canvas.dashes(x, y, next.x, next.y, 4, colour);
    else if (next !== undefined) canvas.stroke(x, y, next.x, next.y, 5, colour);
    // What was read stands as a dot.
    if (!dashed) canvas.stroke(x, y, x, y, 14, colour);
  }
}

function drawPattern(canvas: Canvas, { bolts, unit }: Pattern): void {
  canvas.words(`in a ring: bolt; below: order, ${unit}`, EDGE, 80, SMALL, INK);
  const [left, top] = [110, 160];
  const [wide, high] = [WIDTH - 2 * left, HEIGHT - top - 120];
  const places = bolts.map(({ x, y }) => ({ x: left + x * wide, y: top + y * high }));
  const inOrder = bolts.map((bolt, at) => ({ bolt, at })).sort((a, b) => a.bolt.order - b.bolt.order);
  for (const [at, { at: one }] of inOrder.entries()) {
    const [from, to] = [places[one], places[inOrder[at + 1]?.at ?? -1]];
    if (from !== undefined && to !== undefined) canvas.dashes(from.x, from.y, to.x, to.y, 2.5, FAINT);
  }
  for (const [at, { n, order, value }] of bolts.entries()) {
    const { x, y } = places[at] ?? { x: 0, y: 0 };
    canvas.stroke(x, y, x, y, 62, value === null ? FAINT : colourOf(0));
    canvas.stroke(x, y, x, y, 52, GROUND);
    canvas.words(String(n), x - Canvas.widthOf(String(n), TITLE) / 2, y - 14, TITLE, INK);
    const text = value === null ? `${order}.` : `${order}. ${numberText(value)}`;
    canvas.words(text, x - Canvas.widthOf(text, SMALL) / 2, y + 40, SMALL, INK);
  }
}

const colourOf = (at: number): Colour => COLOURS[at % COLOURS.length] ?? INK;

type Scale = { readonly from: number; readonly to: number; readonly ticks: readonly number[] };

/** From a round number to a round number, with four to nine round steps between. */
function scaleOf(values: readonly number[]): Scale {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const span = most - least || Math.abs(most) || 1;
  const power = 10 ** Math.floor(Math.log10(span / 4));
  const step = ([1, 2, 5, 10].find((one) => span / (one * power) <= 6) ?? 10) * power;
  const from = Math.floor(least / step + 1e-9) * step;
  const count = Math.max(1, Math.ceil((most - from) / step - 1e-9));
  const ticks = Array.from({ length: count + 1 }, (_, at) => from + at * step);
  return { from, to: from + count * step, ticks };
}

function numberText(value: number): string {
  return String(Number(value.toPrecision(4)));
}
