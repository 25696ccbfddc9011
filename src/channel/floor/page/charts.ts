import uPlot from 'uplot';
import type { Curve } from '../../../record/picture.js';

/** Colours and dashes of the series, told apart by line as well as by colour. */
const STROKES = ['--ink', '--line-2', '--line-3', '--line-4'] as const;
const DASHES: readonly number[][] = [[], [10, 6], [3, 4], [14, 5, 3, 5]];

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
  const plot = new uPlot(
    {
      ...size(),
      scales: { x: { time: false } },
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
            marks.forEach((mark, i) => {
              const left = valToPos(mark.at, 'x', true);
              if (left < bbox.left || left > bbox.left + bbox.width) return;
              ctx.beginPath();
              ctx.moveTo(left, bbox.top);
              ctx.lineTo(left, bbox.top + bbox.height);
              ctx.stroke();
              const wide = ctx.measureText(mark.label).width;
              const room = left + 6 + wide < bbox.left + bbox.width;
              const down = bbox.top + (18 + (i % 4) * 20) * devicePixelRatio;
              ctx.fillText(mark.label, room ? left + 6 : Math.max(bbox.left + 4, left - wide - 6), down);
            });
            ctx.restore();
          },
        ],
      },
    },
    [[...x.values], ...series.map(({ values }) => [...values])],
    at,
  );
  new ResizeObserver(() => plot.setSize(size())).observe(at);
}
