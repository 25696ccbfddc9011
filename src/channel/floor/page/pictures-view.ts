import { html, nothing, svg, type TemplateResult } from 'lit-html';
import { ref } from 'lit-html/directives/ref.js';
import type { Curve, Pattern, Picture } from '../../../record/picture.js';
import type { Scene } from './ui.js';

/** Pictures of a job, for who would rather look. Each says the same in words below it. */
export function picturesView({ ui: { pictures } }: Scene, bay: string): TemplateResult {
  if (pictures.is === 'failed')
    return html`<main class="pictures"><p class="nothing">The pictures did not come. The numbers stand in the ledger.</p></main>`;
  if (pictures.is !== 'there' || pictures.bay !== bay)
    return html`<main class="pictures"><p class="nothing" role="status">Fetching the pictures.</p></main>`;
  if (pictures.pictures.length === 0)
    return html`<main class="pictures"><p class="nothing">This job has nothing to draw yet: no curve, no bolt pattern.</p></main>`;
  return html`<main class="pictures">${pictures.pictures.map(figure)}</main>`;
}

function figure(picture: Picture): TemplateResult {
  return html`<figure class="picture">
    <h2>${picture.title}</h2>
    ${picture.kind === 'curve' ? curveView(picture) : patternView(picture)}
    <figcaption>${picture.alt}</figcaption>
  </figure>`;
}

const drawn = new WeakMap<Element, Curve>();

function curveView(curve: Curve): TemplateResult {
  const [first] = curve.series;
  return html`<div class="plot">
    <p class="axis-y" aria-hidden="true">${first === undefined ? '' : curve.series.length === 1 ? `${first.label}, ${first.unit}` : first.unit}</p>
    <div class="curve" role="img" aria-label=${curve.alt} ${ref((at) => void draw(at, curve))}></div>
    <p class="axis-x" aria-hidden="true">${curve.x.label}, ${curve.x.unit}</p>
  </div>`;
}

/** The chart library is fetched when the first curve is drawn, never before. */
async function draw(at: Element | undefined, curve: Curve): Promise<void> {
  if (!(at instanceof HTMLElement) || drawn.get(at) === curve) return;
  drawn.set(at, curve);
  try {
    const { drawCurve } = await import('./charts.js');
    if (at.isConnected && drawn.get(at) === curve) drawCurve(at, curve);
  } catch {
    at.textContent = 'The curve could not be drawn; it is told in words below.';
  }
}

const SIZE = 100;
const INSET = 10;
const ROUND = 6.2;
/** So few bolts need no room of their own. */
const FEW = 3;

/** Bolts where they sit, numbered in the order of tightening, each with the value told. */
function patternView({ bolts, unit, alt }: Pattern): TemplateResult {
  const xs = bolts.map(({ x }) => x);
  const ys = bolts.map(({ y }) => y);
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  const [wide, high] = [Math.max(...xs) - left, Math.max(...ys) - top];
  // Bolts in one line are drawn in the middle, others as wide as there is room.
  const tall =
    high === 0 ? 2 * INSET + ROUND : wide === 0 ? 60 : Math.min(SIZE, Math.max(40, (SIZE * high) / wide));
  const along = (part: number, all: number, room: number) =>
    all === 0 ? room / 2 : INSET + (part / all) * (room - 2 * INSET);
  const place = (x: number, y: number) => ({ x: along(x - left, wide, SIZE), y: along(y - top, high, tall) });
  const inOrder = [...bolts].sort((one, other) => one.order - other.order);
  const told = bolts.some(({ value }) => value !== null);
  const path = inOrder.map(({ x, y }) => place(x, y)).map(({ x, y }) => `${x},${y}`);
  return html`<div class="pattern-row"><svg class=${bolts.length <= FEW ? 'pattern few' : 'pattern'} viewBox="0 0 ${SIZE} ${tall + 6}" role="img" aria-label=${alt}>
      <polyline class="run" points=${path.join(' ')} />
      ${bolts.map((bolt) => {
        const { x, y } = place(bolt.x, bolt.y);
        return svg`<g class=${bolt.value === null ? 'bolt' : 'bolt told'}>
          <circle cx=${x} cy=${y} r=${ROUND} />
          <text x=${x} y=${y + 1.8}>${bolt.n}</text>
          <text class="bolt-value" x=${x} y=${y + ROUND + (bolts.length <= FEW ? 5 : 3.4)}>${bolt.value === null ? '' : `${bolt.value}`}</text>
        </g>`;
      })}
    </svg>
    ${told ? valuesView(inOrder, unit) : nothing}</div>`;
}

function valuesView(inOrder: Pattern['bolts'], unit: string): TemplateResult {
  return html`<table class="order">
    <thead>
      <tr><th scope="col">Order</th><th scope="col">Bolt</th><th scope="col">Value, ${unit}</th></tr>
    </thead>
    <tbody>
      ${inOrder.map(
        ({ n, order, value }) =>
          html`<tr><td>${order}</td><td>${n}</td><td>${value === null ? html`<i>not told</i>` : value}</td></tr>`,
      )}
    </tbody>
  </table>`;
}
