import { html, nothing, type TemplateResult } from 'lit-html';
import { printInstant } from './hour.js';
import type { Look } from './look.js';
import { bayPath, picturesPath, type Route } from './route.js';
import { sign } from './signs-view.js';
import { bayLabel, rowOf } from './state.js';
import type { Scene, StopCall } from './ui.js';

/** The head of every screen: where one is, the ways to the others, and STOP, always in this corner. */
export function topView(scene: Scene): TemplateResult {
  const { state, ui, acts, now, zone } = scene;
  const { route } = ui;
  const title = titleOf(scene);
  return html`<header class="top">
    ${
      route.is === 'board'
        ? nothing
        : html`<a
            class="key back"
            href=${route.is === 'pictures' ? bayPath(route.bay) : '#/'}
            aria-label=${route.is === 'pictures' ? 'Back to the sheet' : 'Back to the floor'}
            ><svg class="sign" viewBox="0 0 24 24" aria-hidden="true"><path d="M20 3 4 12l16 9z" /></svg> <span class="back-word">${route.is === 'pictures' ? 'Sheet' : 'Floor'}</span></a
          >`
    }
    <div class="where">
      <h1 tabindex="-1">${title.head}</h1>
      <p>${title.under}${title.more === undefined ? nothing : html`<span class="more">, ${title.more}</span>`}</p>
    </div>
    <nav class="ways ways-wide" aria-label="Screens">${ways(scene)}</nav>
    <time class="wall" datetime=${new Date(now).toISOString()}
      >${state.hello === null ? '' : printInstant(now, 'time', zone)}</time
    >
    <button class="stop" type="button" @click=${() => acts.stop()}>
      ${sign('octagon')}<span class="stop-word">STOP</span>
      <span class="stop-what">${stopWhat(scene)}</span>
    </button>
  </header>`;
}

function titleOf({ state, ui: { route } }: Scene): { head: string; under: string; more?: string } {
  const name = state.hello?.name ?? '';
  switch (route.is) {
    case 'board':
      return {
        head: name === '' ? 'Floor' : name,
        under: state.hello?.shop === 'demo' ? 'Demo workshop, all invented' : 'The floor',
      };
    case 'bay': {
      const job = rowOf(state, route.bay)?.job ?? null;
      const head = bayLabel(state, route.bay);
      return job === null ? { head, under: 'No job' } : { head, under: job.car, more: job.title };
    }
    case 'pictures':
      return { head: 'Pictures', under: bayLabel(state, route.bay) };
    case 'foreman':
      return { head: 'Foreman', under: name };
    case 'start':
      return { head: 'Start a job', under: name };
    case 'sign-in':
      return { head: 'Who is speaking', under: name };
  }
}

/** Bays that one press stops on this screen: the bay's own, else every bay with a job, else every bay. */
export function stopBays({ state, ui: { route } }: Pick<Scene, 'state' | 'ui'>): readonly string[] {
  if (route.is === 'bay' || route.is === 'pictures') return [route.bay];
  const busy = state.board?.rows.filter(({ job }) => job !== null).map(({ bay }) => bay) ?? [];
  if (busy.length > 0) return busy;
  // Before anything is known of the workshop, STOP is for all of it.
  return state.hello?.bays.map(({ id }) => id) ?? [''];
}

function stopWhat(scene: Scene): string {
  const bays = stopBays(scene);
  const [only] = bays;
  if (bays.length === 1 && only !== undefined) return shortLabel(bayLabel(scene.state, only));
  return 'all bays';
}

const shortLabel = (label: string) => label.split(',')[0] ?? label;

const LOOK_WORDS: Readonly<Record<Look, string>> = { auto: 'as the machine', light: 'light', dark: 'dark' };

/** Ways to the other screens; drawn in the head where there is room, else at the foot. */
export function ways({ state, ui: { route, look }, acts }: Scene): TemplateResult {
  const way = (to: Route['is'], path: string, label: string) =>
    html`<a class="way" href=${path} aria-current=${route.is === to ? 'page' : nothing}>${label}</a>`;
  const me = state.hello?.me ?? null;
  return html`
    ${way('board', '#/', 'Floor')} ${way('foreman', '#/foreman', 'Foreman')} ${way('start', '#/start', 'Start a job')}
    ${route.is === 'bay' ? html`<a class="way" href=${picturesPath(route.bay)}>Pictures</a>` : nothing}
    ${way('sign-in', '#/sign-in', me === null ? 'Sign in' : me.name)}
    <button class="way" type="button" @click=${() => acts.nextLook()}>Look: ${LOOK_WORDS[look]}</button>
  `;
}

export function footView(scene: Scene): TemplateResult {
  return html`<footer class="foot">
    <nav class="ways ways-narrow" aria-label="Screens">${ways(scene)}</nav>
    <p>
      An aid to trained people. The maker's procedure, local law and the employer's rules come first. It cannot see the
      car.
    </p>
  </footer>`;
}

/** What everybody has to know before reading on: that this may be old, that a STOP is under way. */
export function bandsView(scene: Scene): TemplateResult {
  const { state, ui, acts, zone } = scene;
  const { link } = state;
  return html`<div class="bands">
    ${ui.stops.map((call) => stopBand(scene, call))}
    ${
      link.is === 'cut-off'
        ? html`<div class="band band-cut" role="status">
            ${sign('triangle')}
            <p>
              <b>Cut off since ${printInstant(link.since, 'time', zone)}.</b> What stands here may be old; nothing is
              sent.
            </p>
            <button class="key quiet" type="button" @click=${() => acts.retry()}>Try now</button>
          </div>`
        : link.is === 'catching-up' && state.hello !== null
          ? html`<div class="band band-catch" role="status">
              <p><b>Catching up.</b> Nothing is sent until this page is up to date.</p>
            </div>`
          : nothing
    }
  </div>`;
}

function stopBand({ state, acts, zone }: Scene, call: StopCall): TemplateResult {
  const bay = bayLabel(state, call.bay);
  const at = printInstant(call.at, 'time', zone);
  if (call.is === 'through')
    return html`<div class="band band-stop" role="status">${sign('octagon')}<p><b>STOP is through, ${bay}, ${at}.</b></p></div>`;
  return html`<div class="band band-stop" role="alert">
    ${sign('octagon')}
    ${
      call.is === 'calling'
        ? html`<p><b>STOP, ${bay}: being sent.</b></p>`
        : html`<p>
              <b>STOP for ${bay} has NOT got through.</b> Shout. Card on the wall. It is tried again by itself.
              ${call.why}
            </p>
            <button class="key quiet" type="button" @click=${() => acts.callBackStop(call.key)}>Leave off</button>`
    }
  </div>`;
}
