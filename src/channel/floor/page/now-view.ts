import { html, nothing, type TemplateResult } from 'lit-html';
import type { Line } from '../../../talk/post.js';
import { nowOf } from './asked.js';
import { photoKey } from './box-view.js';
import { printInstant, printNear } from './hour.js';
import { type Parts, partsOf } from './parts.js';
import { sign } from './signs-view.js';
import { type PostEntry, rowOf, type State } from './state.js';
import { canSend, type Scene } from './ui.js';
import { plain, words } from './words-view.js';

/** The large panel of a bay sheet: what is asked, its few keys, and the words that came since. */
export function nowView(scene: Scene, bay: string): TemplateResult {
  const { main, calls, word } = nowOf(scene.state, bay);
  return html`
    ${calls.map((call) => callView(scene, bay, call))}
    ${main === null ? idleView(scene, bay) : panelView(scene, bay, main, word)}
  `;
}

/** The parts of the question of a bay, for the panel, the box and the voice alike. */
export function partsNow(
  { state, zone }: Pick<Scene, 'state' | 'zone'>,
  bay: string,
  post: PostEntry,
): Parts {
  const step = stepNow(state, bay, post);
  return partsOf(
    post.lines.map((one) => plain(one, zone)),
    step === null ? null : plain(step, zone),
    state.hello?.people.map(({ name }) => name) ?? [],
  );
}

/** The step that a post belongs to; null while the board is older than the post and may speak of the step before. */
function stepNow(state: State, bay: string, post: PostEntry): Line | null {
  return (state.board?.at ?? 0) >= post.at ? (rowOf(state, bay)?.step ?? null) : null;
}

function panelView(scene: Scene, bay: string, post: PostEntry, word: PostEntry | null): TemplateResult {
  if (post.kind === 'card' && post.visit === null) return cardView(scene, bay, post, word);
  if (post.kind === 'summary') return summaryView(scene, post);
  const parts = partsNow(scene, bay, post);
  const step = stepNow(scene.state, bay, post);
  const title = step === null ? '' : plain(step, scene.zone);
  const told = [...parts.tags, parts.tool ?? '', parts.head].join(' ').toLowerCase();
  return html`<section class="now ${parts.word === null ? '' : 'now-gate'}" aria-label="Asked now">
    ${parts.heard.length === 0 ? nothing : html`<div class="heard">${parts.heard.map((text) => html`<p>${words(text)}</p>`)}</div>`}
    ${wordView(scene, word)}
    ${
      parts.tags.length === 0 && parts.tool === null
        ? nothing
        : html`<p class="tags">
            ${parts.tags.map((tag) => html`<span class="tag">${tag}</span>`)}
            ${parts.tool === null ? nothing : html`<span class="tool">${words(parts.tool)}</span>`}
          </p>`
    }
    ${parts.heard.length === 0 || title === '' || shares(told, title) ? nothing : html`<p class="at-step">At: ${title}</p>`}
    <h2 class="head">${words(parts.head)}</h2>
    ${parts.small.map((text) => html`<p class="small">${words(text)}</p>`)}
    ${parts.ask.map((text) => html`<p class="ask">${words(text)}</p>`)}
    ${
      parts.word === null
        ? nothing
        : html`<p class="gate-word"><span>Type or say, alone</span> <b>${parts.word}</b></p>`
    }
    ${fillView(scene, bay, post, parts)}
    ${parts.photo ? nothing : html`<div class="keys">${photoKey(scene, bay, false)}</div>`}
  </section>`;
}

/** Whether the question says its step already. */
function shares(told: string, title: string): boolean {
  const bare = title.toLowerCase().replace(/…$/, '');
  return told.includes(bare) || told.includes(bare.split(': ')[1] ?? bare);
}

/** Answers that have no buttons of their own: a key writes its number into the box, and Send sends it. */
function fillView(scene: Scene, bay: string, post: PostEntry, parts: Parts): TemplateResult | typeof nothing {
  if (post.buttons.length > 0 || parts.options.length === 0) return nothing;
  return html`<div class="keys" role="group" aria-label="Choices">
      ${parts.options.map(
        (option, at) =>
          html`<button
            class="key fill"
            type="button"
            aria-label="Write ${at + 1}, ${option}, into the box"
            @click=${() => scene.acts.fill(`bay:${bay}`, String(at + 1))}
          >
            <b>${at + 1}</b> ${option}
          </button>`,
      )}
    </div>
    <p class="hint">A key writes its number into the box; then Send.</p>`;
}

/** The answers of the open question, at the thumb: the post's own buttons, and the camera where a photo is asked. */
export function answersView(scene: Scene, bay: string): TemplateResult | typeof nothing {
  const { main } = nowOf(scene.state, bay);
  if (main === null || scene.state.over.has(main.place)) return nothing;
  const photo = main.kind === 'question' && partsNow(scene, bay, main).photo;
  if (main.buttons.length === 0 && !photo) return nothing;
  const off = !canSend(scene) || scene.ui.sending.has(`bay:${bay}`) || scene.state.hello?.me == null;
  return html`<div class="keys answers" role="group" aria-label="Answers">
    ${photo ? photoKey(scene, bay, true) : nothing}
    ${main.buttons.map(
      ({ label, says }, at) =>
        html`<button
          class="key ${at === 0 && !photo ? 'main' : ''} ${off ? '' : 'rest'}"
          type="button"
          ?disabled=${off || scene.ui.resting}
          @click=${() => scene.acts.tap(bay, says, main.visit)}
        >
          ${label}
        </button>`,
    )}
  </div>`;
}

/** A call by name, beside the question: is somebody still here. */
function callView(scene: Scene, bay: string, post: PostEntry): TemplateResult {
  const off = !canSend(scene) || scene.state.hello?.me == null;
  return html`<section class="call" aria-label="Call">
    <div>${post.lines.map((one) => html`<p>${words(plain(one, scene.zone))}</p>`)}</div>
    ${post.buttons.map(
      ({ label, says }) =>
        html`<button class="key main ${off ? '' : 'rest'}" type="button" ?disabled=${off || scene.ui.resting} @click=${() => scene.acts.tap(bay, says, post.visit)}>
          ${label}
        </button>`,
    )}
  </section>`;
}

/** What was answered to somebody's words while the question stayed as it was. */
function wordView({ zone }: Scene, word: PostEntry | null): TemplateResult | typeof nothing {
  if (word === null) return nothing;
  const alert = word.kind === 'alert';
  return html`<div class="word-since ${alert ? 'word-alert' : ''}">
    <time>${alert ? sign('triangle') : nothing}${printInstant(word.at, 'time', zone)}</time>
    <div>${word.lines.map((one) => html`<p>${words(plain(one, zone))}</p>`)}</div>
  </div>`;
}

function cardView(scene: Scene, bay: string, post: PostEntry, word: PostEntry | null): TemplateResult {
  const [first, ...rest] = post.lines.map((one) => plain(one, scene.zone));
  return html`<section class="now card" aria-label="Card">
    <h2 class="head">${sign('octagon')}<span>${first ?? 'STOP'}</span></h2>
    <ol class="first-actions">
      ${rest.map((text) => html`<li>${words(text)}</li>`)}
    </ol>
    <p class="card-at">${printInstant(post.at, 'time', scene.zone)}</p>
    ${wordView(scene, word)}
    <div class="keys">${photoKey(scene, bay, false)}</div>
  </section>`;
}

/** The record of a whole job is folded: what comes next in the bay may not lie hundreds of lines below. */
const RECORD = /^RECORD OF /;

function summaryView({ zone }: Scene, post: PostEntry): TemplateResult {
  const [first, ...rest] = post.lines.map((one) => plain(one, zone));
  const lineView = (text: string) =>
    /^[A-Z][A-Z ,]+$/.test(text.trim()) ? html`<h3>${text}</h3>` : html`<p>${words(text)}</p>`;
  const at = rest.findIndex((text) => RECORD.test(text));
  const [open, folded] = at < 0 ? [rest, []] : [rest.slice(0, at), rest.slice(at)];
  return html`<section class="now summary" aria-label="Summary">
    <h2 class="head">${words(first ?? '')}</h2>
    <div class="summary-lines">
      ${open.map(lineView)}
      ${folded.length === 0 ? nothing : html`<details><summary>The whole record, ${folded.length} lines</summary>${folded.map(lineView)}</details>`}
    </div>
  </section>`;
}

/** Nothing is asked: the job is held, or there is none. */
function idleView(scene: Scene, bay: string): TemplateResult | typeof nothing {
  const { state, zone } = scene;
  const row = rowOf(state, bay);
  if (row === null || row.job === null) return nothing;
  const { word } = nowOf(state, bay);
  const held = row.attention === 2;
  return html`<section class="now ${held ? 'now-held' : ''}" aria-label="Now">
    <p class="tags">
      ${held ? sign('bars') : nothing}<span class="tag">${held ? 'Hold' : 'Nothing is asked'}</span>
      <span class="tool">since ${printNear(row.since, scene.now, zone)}</span>
    </p>
    <h2 class="head">${row.why === null ? 'Nothing is asked just now.' : words(plain(row.why, zone))}</h2>
    ${row.step === null ? nothing : html`<p class="small">At: ${words(plain(row.step, zone))}</p>`}
    ${word === null ? nothing : word.lines.map((one) => html`<p class="ask">${words(plain(one, zone))}</p>`)}
    <div class="keys">${photoKey(scene, bay, false)}</div>
  </section>`;
}
