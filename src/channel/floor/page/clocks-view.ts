import { html, nothing, type TemplateResult } from 'lit-html';
import type { Wait } from '../../../record/board.js';
import { printNear, printSpan } from './hour.js';
import type { Scene } from './ui.js';

/** Running clocks, counted down here from their instants. Nothing is over because a clock here says so. */
export function clocksView(scene: Scene, waits: readonly Wait[]): TemplateResult | typeof nothing {
  if (waits.length === 0) return nothing;
  return html`<section class="clocks" aria-label="Running clocks">
    <h2>Running</h2>
    <ul>
      ${waits.map((wait) => html`<li>${clockView(scene, wait)}</li>`)}
    </ul>
  </section>`;
}

function clockView({ now, zone, state }: Scene, { label, until, deadline, firm }: Wait): TemplateResult {
  if (until === null)
    return html`<b class="left">?</b><span>${label}<small>nobody can say yet</small></span>`;
  const left = until - now;
  const at = printNear(until, now, zone);
  const old = state.link.is !== 'live';
  if (left <= 0)
    return html`<b class="left late" role="timer">0:00</b
      ><span>${label}<small>${at}, passed ${printSpan(-left)} ago. It counts when it is said in the bay.</small></span>`;
  return html`<b class="left" role="timer">${printSpan(left)}</b
    ><span>${label}${deadline ? ', runs out' : ''}<small>${at}${movesOf(deadline, firm)}${old ? ', as last heard' : ''}</small></span>`;
}

/** Which way evidence moves the instant: to the careful side. */
function movesOf(deadline: boolean, firm: boolean): string {
  if (firm) return '';
  return deadline ? ', or earlier: it may move' : ', or later: it may move';
}

/** The same in a few words, for a row of the board. */
export function clockWords({ now, zone }: Scene, { label, until, deadline, firm }: Wait): TemplateResult {
  if (until === null) return html`${label}: <b>nobody can say yet</b>`;
  const at = printNear(until, now, zone);
  const left = until - now;
  const moves = firm ? '' : deadline ? ' or earlier' : ' or later';
  return html`${label}: ${deadline ? 'only until ' : ''}<b>${at}</b>${moves},
    ${left > 0 ? html`<span class="left" role="timer">${printSpan(left)}</span> left` : html`passed`}`;
}
