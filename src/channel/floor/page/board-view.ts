import { html, nothing, type TemplateResult } from 'lit-html';
import { repeat } from 'lit-html/directives/repeat.js';
import type { BoardRow } from '../../../record/board.js';
import { clockWords } from './clocks-view.js';
import { printAge, printNear } from './hour.js';
import { bayPath } from './route.js';
import { SIGN_OF, sign } from './signs-view.js';
import { rowsByAttention } from './state.js';
import type { Scene } from './ui.js';
import { line, plain } from './words-view.js';

/** All bays, attention first, one wide row each. */
export function boardView(scene: Scene): TemplateResult {
  const { state } = scene;
  const rows = rowsByAttention(state);
  return html`<main class="board">
    ${state.hello?.first === true && state.threads.size === 0 ? firstView(scene) : nothing}
    ${
      rows.length === 0
        ? html`<p class="nothing">${state.link.is === 'live' ? 'No bays in the register.' : 'Waiting for the workshop computer.'}</p>`
        : html`<ul class="rows">
            ${repeat(
              rows,
              ({ bay }) => bay,
              (row) => rowView(scene, row),
            )}
          </ul>`
    }
  </main>`;
}

function rowView(scene: Scene, row: BoardRow): TemplateResult {
  const { zone, now, acts } = scene;
  const { job } = row;
  return html`<li class="row row-${row.attention} ${job === null ? 'row-free' : ''}">
    <p class="state">
      ${sign(job === null && row.attention === 0 ? 'empty' : SIGN_OF[row.attention])}<b>${stateWord(row)}</b>
      ${
        row.since === 0
          ? nothing
          : html`<span>${printNear(row.since, now, zone)} <small>${printAge(now - row.since)}</small></span>`
      }
    </p>
    <div class="row-what">
      <h2><a href=${bayPath(row.bay)}>${row.label}</a></h2>
      ${job === null ? html`<p>${row.why === null ? 'No job.' : line(row.why, zone)}</p>` : html`<p class="row-job">${job.car}, ${job.title} <small>${job.number}</small></p>`}
    </div>
    ${
      job === null
        ? nothing
        : html`<div class="row-now">
              ${row.why === null ? nothing : html`<p class="row-why">${line(row.why, zone)}</p>`}
              ${row.step === null ? nothing : html`<p class="row-step">${line(row.step, zone)}</p>`}
              ${
                row.asked === null ||
                row.attention >= 2 ||
                (row.step !== null && plain(row.asked, zone) === plain(row.step, zone))
                  ? nothing
                  : html`<p class="row-asked">Asked: ${line(row.asked, zone)}</p>`
              }
              ${row.waits.map((wait) => html`<p class="row-wait">${clockWords(scene, wait)}</p>`)}
            </div>
            <dl class="row-who">
              <div><dt>Holds it</dt><dd>${row.holder ?? 'nobody'}</dd></div>
              <div><dt>Stands by</dt><dd>${row.standby ?? 'nobody'}</dd></div>
              ${row.locks.length === 0 ? nothing : html`<div><dt>Locks</dt>${row.locks.map((one) => html`<dd>${line(one, zone)}</dd>`)}</div>`}
            </dl>
            <dl class="row-stands">
              ${row.proved.length === 0 ? nothing : html`<div><dt>Proved</dt>${row.proved.map((one) => html`<dd>${line(one, zone)}</dd>`)}</div>`}
              ${row.notProved.length === 0 ? nothing : html`<div><dt>Not proved</dt>${row.notProved.map((one) => html`<dd>${line(one, zone)}</dd>`)}</div>`}
              ${row.open.length === 0 ? nothing : html`<div><dt>Open now</dt><dd>${row.open.map((one) => plain(one, zone)).join('; ')}</dd></div>`}
            </dl>
            <button class="row-stop" type="button" @click=${() => acts.stopBay(row.bay)}>
              ${sign('octagon')}<span>STOP <span class="row-stop-bay">${row.label.split(',')[0]}</span></span>
            </button>`
    }
  </li>`;
}

function stateWord({ attention, job }: BoardRow): string {
  if (attention === 3) return 'Stop';
  if (attention === 2) return 'Look here';
  if (job === null) return 'Free';
  return attention === 1 ? 'Asks' : 'Calm';
}

function firstView({ state }: Scene): TemplateResult {
  const demo = state.hello?.shop === 'demo';
  return html`<section class="first">
    <h2>${demo ? 'This is a demo workshop. People, cars and values are invented.' : 'The register is there. No job has been done yet.'}</h2>
    <p>
      ${
        demo
          ? 'Try the main job first: sign in by picking a name, then start a job in a bay. Nothing here may be used on a real car.'
          : 'Sign in, then start the first job.'
      }
    </p>
    <p class="keys">
      <a class="key main" href="#/start">Start a job</a>
      <a class="key" href="#/sign-in">Sign in</a>
    </p>
  </section>`;
}
