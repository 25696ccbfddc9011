import { html, type TemplateResult } from 'lit-html';
import { boxView } from './box-view.js';
import { ledgerView } from './ledger-view.js';
import { bayPath } from './route.js';
import { SIGN_OF, sign } from './signs-view.js';
import { bayLabel, rowsByAttention } from './state.js';
import type { Scene } from './ui.js';
import { line } from './words-view.js';

/** The foreman's thread: what calls, and words that are always for one bay that was picked. */
export function foremanView(scene: Scene): TemplateResult {
  const { state, ui, acts, zone } = scene;
  const bay = ui.foremanBay;
  const me = state.hello?.me ?? null;
  return html`<main class="sheet">
    <div class="sheet-now">
      <fieldset class="picks">
        <legend>Your words are for</legend>
        ${rowsByAttention(state).map(
          (row) =>
            html`<label class="pick pick-bay"
              ><input type="radio" name="foreman-bay" .checked=${row.bay === bay} @change=${() => acts.foremanBay(row.bay)} /><span
                >${sign(SIGN_OF[row.attention])} ${row.label}<small
                  >${row.why === null ? (row.job?.car ?? 'no job') : line(row.why, zone)}</small
                ></span
              ></label
            >`,
        )}
      </fieldset>
      ${
        bay === null
          ? html`<p class="hint">Pick a bay first; a release or a value goes to one job only.</p>`
          : html`<p class="hint">release WHY, hold WHY, value NAME AMOUNT SOURCE, adopt, call off, lock removed WHY.</p>
              <p><a class="inline" href=${bayPath(bay)}>Sheet of ${bayLabel(state, bay)}</a></p>`
      }
      ${boxView(scene, {
        thread: 'foreman',
        bay,
        label: `${me?.name ?? 'Words'}${bay === null ? '' : ` for ${bayLabel(state, bay)}`}`,
        gate: null,
        cannot: bay === null ? 'Pick the bay that your words are for.' : null,
      })}
    </div>
    <div class="sheet-under">${ledgerView(scene, 'foreman', 'Ledger of the foreman')}</div>
  </main>`;
}
