import { html, nothing, type TemplateResult } from 'lit-html';
import type { BoardRow } from '../../../record/board.js';
import type { Line } from '../../../talk/post.js';
import { nowOf } from './asked.js';
import { boxView } from './box-view.js';
import { clocksView } from './clocks-view.js';
import { printNear } from './hour.js';
import { ledgerView } from './ledger-view.js';
import { answersView, nowView, partsNow } from './now-view.js';
import { sign } from './signs-view.js';
import { startView } from './start-view.js';
import { bayLabel, rowOf } from './state.js';
import type { Scene } from './ui.js';
import { line, plain, warningsIn } from './words-view.js';

/** The sheet of one bay: hazard band, what is asked, the box, clocks, what stands, the ledger. */
export function sheetView(scene: Scene, bay: string): TemplateResult {
  const { state } = scene;
  const row = rowOf(state, bay);
  const { main } = nowOf(state, bay);
  const parts = main === null || main.kind !== 'question' ? null : partsNow(scene, bay, main);
  // The board may be a moment behind a job that has just begun.
  const idle = row !== null && row.job === null && (main === null || main.visit === null);
  return html`<main class="sheet">
    <div class="sheet-now">
      ${row === null ? nothing : hazardView(scene, row)} ${nowView(scene, bay)}
      ${row === null ? nothing : clocksView(scene, row.waits)} ${idle ? startView(scene, bay) : nothing}
      ${boxView(scene, {
        thread: `bay:${bay}`,
        bay,
        label: speaker(scene, bay),
        gate: parts?.word ?? null,
        cannot: null,
        answers: answersView(scene, bay),
        still: idle,
      })}
    </div>
    <div class="sheet-under">
      ${row === null || row.job === null ? nothing : standsView(scene, row)}
      ${ledgerView(scene, `bay:${bay}`, `Ledger, ${bayLabel(state, bay)}`)}
    </div>
  </main>`;
}

function speaker({ state }: Scene, bay: string): string {
  const me = state.hello?.me ?? null;
  if (me === null) return `Words for ${bayLabel(state, bay)}`;
  return `${me.name} answers in ${bayLabel(state, bay)}${me.own ? '' : ' (shared screen)'}`;
}

/** What is open or bare now, and what is live whatever was proved. Above everything, in words. */
function hazardView(scene: Scene, row: BoardRow): TemplateResult | typeof nothing {
  const { zone } = scene;
  const warnings = warningsIn([...row.proved, ...row.notProved, ...row.open], zone);
  const open = row.open.map((one) => plain(one, zone));
  if (row.job === null || (open.length === 0 && warnings.length === 0)) return nothing;
  return html`<section class="hazard" aria-label="Hazards now">
    ${sign('triangle')}
    <div>
      ${warnings.map((one) => html`<p class="hazard-first">${one}</p>`)}
      ${open.length === 0 ? nothing : html`<p><b>Open now:</b> ${open.join('; ')}</p>`}
    </div>
  </section>`;
}

/** What was proved and what was not, locks and owners, who holds the job and who stands by. */
function standsView({ zone, now }: Scene, row: BoardRow): TemplateResult {
  return html`<section class="stands" aria-label="What stands">
    <h2>What stands</h2>
    <dl>
      <div><dt>Job</dt><dd>${row.job?.number ?? ''} held by ${row.holder ?? 'nobody'}, since ${printNear(row.since, now, zone)}</dd></div>
      <div><dt>Standby</dt><dd>${row.standby ?? 'nobody'}</dd></div>
      ${listed('Proved', row.proved, zone)} ${listed('Not proved', row.notProved, zone)}
      ${listed('Locks', row.locks, zone)}
    </dl>
  </section>`;
}

function listed(name: string, lines: readonly Line[], zone: string): TemplateResult | typeof nothing {
  if (lines.length === 0) return nothing;
  return html`<div><dt>${name}</dt>${lines.map((one) => html`<dd>${line(one, zone)}</dd>`)}</div>`;
}
