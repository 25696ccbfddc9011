import { html, nothing, type TemplateResult } from 'lit-html';
import { repeat } from 'lit-html/directives/repeat.js';
import { printInstant } from './hour.js';
import { sign } from './signs-view.js';
import { bayLabel, type Entry, entriesOf, type ThreadId } from './state.js';
import type { Scene } from './ui.js';
import { line } from './words-view.js';

/** How many lines of a thread stand without being asked for. */
const SHORT = 30;

/** A thread as a ledger: time in the margin, who, words; the newest on top. */
export function ledgerView(scene: Scene, thread: ThreadId, title: string): TemplateResult {
  const all = entriesOf(scene.state, thread).toReversed();
  const shown = scene.ui.unfolded.has(thread) ? all : all.slice(0, SHORT);
  return html`<section class="ledger" aria-label=${title}>
    <h2>${title}</h2>
    ${
      all.length === 0
        ? html`<p class="nothing">Nothing has been said here yet.</p>`
        : html`<ol>
            ${repeat(
              shown,
              ({ place }) => place,
              (entry, at) => entryView(scene, entry, shown[at + 1] ?? null, thread === 'foreman'),
            )}
          </ol>`
    }
    ${
      shown.length < all.length
        ? html`<button class="key quiet" type="button" @click=${() => scene.acts.unfold(thread)}>
            Older, ${all.length - shown.length} more
          </button>`
        : nothing
    }
  </section>`;
}

function entryView(
  { state, zone }: Scene,
  entry: Entry,
  before: Entry | null,
  withBay: boolean,
): TemplateResult {
  const day = printInstant(entry.at, 'date', zone);
  const newDay = before === null || printInstant(before.at, 'date', zone) !== day;
  const bay = withBay && entry.is === 'said' ? bayLabel(state, entry.bay) : null;
  const kind = entry.is === 'said' ? 'said' : entry.kind;
  return html`<li class="entry entry-${kind}" data-place=${entry.place}>
    <time datetime=${new Date(entry.at).toISOString()}
      >${printInstant(entry.at, 'time', zone)}${newDay ? html`<small>${day}</small>` : nothing}</time
    >
    <p class="who">
      ${kind === 'card' ? sign('octagon') : kind === 'alert' ? sign('triangle') : nothing}
      ${entry.is === 'said' ? entry.name : 'Warden'}
      ${entry.is === 'post' && entry.again ? html`<small>again</small>` : nothing}
      ${bay === null ? nothing : html`<small>for ${bay}</small>`}
    </p>
    <div class="said">
      ${entry.is === 'said' ? saidView(entry, zone) : postView(entry, zone)}
    </div>
  </li>`;
}

/** A post of more lines than this is folded. */
const LONG = 14;

function postView({ lines }: Entry & { is: 'post' }, zone: string): TemplateResult {
  const [first, ...rest] = lines.map((one) => html`<p>${line(one, zone)}</p>`);
  if (lines.length <= LONG) return html`${first}${rest}`;
  return html`<details><summary>${first} <span>${rest.length} lines more</span></summary>${rest}</details>`;
}

function saidView(entry: Entry & { is: 'said' }, zone: string): TemplateResult {
  return html`${entry.words === '' ? nothing : html`<p>${entry.words}</p>`}
  ${
    entry.photo === null
      ? nothing
      : html`<a class="photo" href="/photo/${entry.photo}" target="_blank" rel="noreferrer"
          ><img
            src="/photo/${entry.photo}"
            loading="lazy"
            alt="Photo by ${entry.name}, ${printInstant(entry.at, 'time', zone)}"
        /></a>`
  }`;
}
