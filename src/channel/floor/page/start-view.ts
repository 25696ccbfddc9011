import { html, nothing, type TemplateResult } from 'lit-html';
import { boxView } from './box-view.js';
import { ledgerView } from './ledger-view.js';
import { rowOf } from './state.js';
import { canSend, type Scene } from './ui.js';

/** Picks a flow and a car for a bay without a job; the same can be typed as `start FLOW CAR`. */
export function startView(scene: Scene, bay: string): TemplateResult {
  const { state, ui, acts } = scene;
  const { hello } = state;
  if (hello === null) return html``;
  const flow = ui.start.flow ?? (hello.flows.length === 1 ? (hello.flows[0]?.id ?? null) : null);
  const { car } = ui.start;
  const ready = flow !== null && car !== null && canSend(scene) && hello.me !== null;
  return html`<section class="start" aria-label="Start a job">
    <h2>Start a job here</h2>
    ${picks(
      'Flow',
      'flow',
      hello.flows.map(({ id, title }) => ({ id, label: title, under: id })),
      flow,
      (id) => acts.start({ flow: id }),
    )}
    ${picks(
      'Car',
      'car',
      hello.cars.map((id) => ({ id, label: id, under: null })),
      car,
      (id) => acts.start({ car: id }),
    )}
    <form
      class="begin"
      autocomplete="off"
      @submit=${(event: Event) => {
        event.preventDefault();
        const field = (event.target as HTMLFormElement).elements.namedItem('number');
        acts.begin(bay, field instanceof HTMLInputElement ? field.value : '');
      }}
    >
      <label>Job number, if there is one <input name="number" type="text" autocomplete="off" maxlength="40" /></label>
      ${
        hello.me === null
          ? html`<a class="key main" href="#/sign-in">Sign in to start</a>`
          : html`<button class="key main" type="submit" ?disabled=${!ready}>Start</button>`
      }
    </form>
    <p class="hint">Or type it below: start ${flow ?? 'FLOW'} ${car ?? 'CAR'}</p>
  </section>`;
}

function picks(
  legend: string,
  name: string,
  options: readonly { readonly id: string; readonly label: string; readonly under: string | null }[],
  picked: string | null,
  pick: (id: string) => void,
): TemplateResult {
  return html`<fieldset class="picks">
    <legend>${legend}</legend>
    ${options.map(
      ({ id, label, under }) =>
        html`<label class="pick"
          ><input type="radio" name=${name} .checked=${id === picked} @change=${() => pick(id)} /><span
            >${label}${under === null || under === label ? nothing : html`<small>${under}</small>`}</span
          ></label
        >`,
    )}
  </fieldset>`;
}

/** The start screen: which bay, then flow and car; below it the shop's own thread. */
export function startScreen(scene: Scene): TemplateResult {
  const { state, ui, acts } = scene;
  const bays = state.hello?.bays ?? [];
  const free = bays.filter(({ id }) => (rowOf(state, id)?.job ?? null) === null);
  const bay =
    free.find(({ id }) => id === ui.start.bay)?.id ?? (free.length === 1 ? (free[0]?.id ?? null) : null);
  return html`<main class="sheet">
    <div class="sheet-now">
      ${
        free.length === 0
          ? html`<p class="nothing">Every bay has a job. A bay is free when its job is done and the car is out.</p>`
          : picks(
              'Bay',
              'bay',
              free.map(({ id, label }) => ({ id, label, under: null })),
              bay,
              (id) => acts.start({ bay: id }),
            )
      }
      ${bay === null ? nothing : startView(scene, bay)}
      ${
        bay === null
          ? nothing
          : boxView(scene, {
              thread: `bay:${bay}`,
              bay,
              label: `Words for ${bays.find(({ id }) => id === bay)?.label ?? bay}`,
              gate: null,
              cannot: null,
              still: true,
            })
      }
    </div>
    <div class="sheet-under">${ledgerView(scene, 'shop', 'Ledger of the shop')}</div>
  </main>`;
}
