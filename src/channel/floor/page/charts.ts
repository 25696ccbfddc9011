import uPlot from 'uplot';
import type { Curve } from '../../../record/picture.js';

/** Colours and dashes of the series, told apart by line as well as by colour. */
const STROKES = ['--ink', '--line-2', '--line-3', '--line-4'] as const;
const DASHES: readonly number[][] = [[], [10, 6], [3, 4], [14, 5, 3, 5]];

/** In a plot so narrow, the words of its marks would lie on each other: it has its number there, and its words below. */
const NARROW = 520;

/** Draws a curve into an element that is on the page. Its words stand beside it; this is the picture only. */
export function drawCurve(at: HTMLElement, { x, series, marks }: Curve): void {
  const colours = getComputedStyle(at);
  const colour = (name: string) => colours.getPropertyValue(name).trim() || '#000';
  const size = () => ({
    width: Math.max(240, at.clientWidth),
    height: Math.max(220, Math.min(420, at.clientWidth * 0.55)),
  });
  const font = `15px system-ui, sans-serif`;
  const axis = {
    stroke: colour('--ink'),
    font,
    grid: { stroke: colour('--rule'), width: 1 },
    ticks: { stroke: colour('--rule') },
  };
  at.replaceChildren();
  const list = marksList(marks);
  const plot = new uPlot(
    {
      ...size(),
      // Every axis counts from an instant of its own, and the marks belong to the picture.
      scales: {
        x: {
          time: false,
          range: (_, from, to) => [
            Math.min(0, from, ...marks.map(({ at }) => at)),
            Math.max(to, ...marks.map(({ at }) => at)),
          ],
        },
      },
      cursor: { show: false },
      legend: { live: false, show: series.length > 1 },
      axes: [
        { ...axis, size: 44 },
        { ...axis, size: 64 },
      ],
      series: [
        { label: x.label },
        ...series.map(({ label, dashed }, i) => ({
          label,
          stroke: colour(STROKES[i % STROKES.length] ?? '--ink'),
          width: 2.5,
          dash: [...(dashed === true ? [8, 6] : (DASHES[i % DASHES.length] ?? []))],
          points: { show: dashed !== true, size: 8 },
          spanGaps: true,
        })),
      ],
      hooks: {
        draw: [
          ({ ctx, bbox, valToPos }) => {
            ctx.save();
            ctx.strokeStyle = colour('--ink-2');
            ctx.fillStyle = colour('--ink');
            ctx.font = `${15 * devicePixelRatio}px system-ui, sans-serif`;
            ctx.lineWidth = devicePixelRatio;
            ctx.textAlign = 'left';
            ctx.textBaseline = 'alphabetic';
            ctx.setLineDash([4 * devicePixelRatio, 4 * devicePixelRatio]);
            const narrow = bbox.width < NARROW * devicePixelRatio;
            list.hidden = !narrow || marks.length === 0;
            marks.forEach((mark, i) => {
              const label = narrow ? String(i + 1) : mark.label;
              const left = valToPos(mark.at, 'x', true);
              if (left < bbox.left || left > bbox.left + bbox.width) return;
              ctx.beginPath();
              ctx.moveTo(left, bbox.top);
              ctx.lineTo(left, bbox.top + bbox.height);
              ctx.stroke();
              const wide = ctx.measureText(label).width;
              const room = left + 6 + wide < bbox.left + bbox.width;
              const down = bbox.top + (18 + (i % 4) * 20) * devicePixelRatio;
              const from = room ? left + 6 : Math.max(bbox.left + 4, left - wide - 6);
              // A line or a curve behind the words would strike them out.
              ctx.fillStyle = colour('--paper');
              ctx.fillRect(from - 2, down - 15 * devicePixelRatio, wide + 4, 20 * devicePixelRatio);
              ctx.fillStyle = colour('--ink');
              ctx.fillText(label, from, down);
            });
            ctx.restore();
          },
        ],
      },
    },
    [[...x.values], ...series.map(({ values }) => [...values])],
    at,
  );
  at.append(list);
  new ResizeObserver(() => plot.setSize(size())).observe(at);
}

function marksList(marks: Curve['marks']): HTMLElement {
  const list = document.createElement('ol');
  list.className = 'marks';
  for (const { label } of marks) {
    const item = document.createElement('li');
    item.textContent = label;
    list.append(item);
  }
  return list;
}
