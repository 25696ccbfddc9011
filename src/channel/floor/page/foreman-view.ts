import { html, nothing, type TemplateResult } from 'lit-html';
import { boxView } from './box-view.js';
import { ledgerView } from './ledger-view.js';
import { bayPath } from './route.js';
import { SIGN_OF, sign } from './signs-view.js';
import { bayLabel, rowsByAttention } from './state.js';
import type { Scene } from './ui.js';
import { line } from './words-view.js';

/** The foreman's thread: what calls, words for the office, and words that are always for one bay that was picked. */
export function foremanView(scene: Scene): TemplateResult {
  const { state, ui, acts, zone } = scene;
  const bay = ui.foremanBay;
  const me = state.hello?.me ?? null;
  const pick = (id: string, words: TemplateResult) =>
    html`<label class="pick pick-bay"
      ><input type="radio" name="foreman-bay" .checked=${id === bay} @change=${() => acts.foremanBay(id)} /><span
        >${words}</span
      ></label
    >`;
  return html`<main class="sheet">
    <div class="sheet-now">
      <fieldset class="picks">
        <legend>Your words are for</legend>
        ${pick(OFFICE, html`The office<small>board, register</small>`)}
        ${rowsByAttention(state).map((row) =>
          pick(
            row.bay,
            html`${sign(SIGN_OF[row.attention])} ${row.label}<small
                >${row.why === null ? (row.job?.car ?? 'no job') : line(row.why, zone)}</small
              >`,
          ),
        )}
      </fieldset>
      ${
        bay === OFFICE
          ? html`<p class="hint">HELP lists what can be said. For one bay pick it, or begin with it: bay 2: …</p>`
          : html`<p class="hint">release WHY, hold WHY, value NAME AMOUNT SOURCE, adopt, call off, lock removed WHY.</p>
              <p><a class="inline" href=${bayPath(bay)}>Sheet of ${bayLabel(state, bay)}</a></p>`
      }
      ${boxView(scene, {
        thread: 'foreman',
        bay,
        label: `${me?.name ?? 'Words'} for ${bayLabel(state, bay)}`,
        gate: null,
        cannot: null,
        answers: bay === OFFICE ? askedView(scene) : nothing,
      })}
    </div>
    <div class="sheet-under">${ledgerView(scene, 'foreman', 'Ledger of the foreman')}</div>
  </main>`;
}

/** What the office is asked most, put into the box for the thumb. */
function askedView({ acts }: Scene): TemplateResult {
  return html`<div class="keys" role="group" aria-label="Ask the office">
    ${['board', 'day', 'morning', 'due'].map(
      (word) =>
        html`<button class="key fill" type="button" @click=${() => acts.fill('foreman', word)}>${word}</button>`,
    )}
  </div>`;
}

/** As a bay's id: the thread itself. */
const OFFICE = 'foreman';
