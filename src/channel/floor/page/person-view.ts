import { html, nothing, type TemplateResult } from 'lit-html';
import { sign } from './signs-view.js';
import { bayLabel } from './state.js';
import type { PinAsked, Scene } from './ui.js';

/** Who speaks from this screen: a name, a PIN where the register has one, and whose screen this is. */
export function signInView(scene: Scene): TemplateResult {
  const { state, ui, acts } = scene;
  const { person, own, digits, pinWanted, why, busy } = ui.signIn;
  const people = state.hello?.people ?? [];
  const me = state.hello?.me ?? null;
  const picked = people.find(({ id }) => id === person) ?? null;
  const asksPin = pinWanted || picked?.pin === true;
  return html`<main class="person">
    ${
      me === null
        ? nothing
        : html`<section class="signed">
            <p>This screen speaks for <b>${me.name}</b>${me.own ? '' : ', as a shared screen'}.</p>
            <button class="key" type="button" @click=${() => acts.signOut()}>Sign out</button>
          </section>`
    }
    <form
      @submit=${(event: Event) => {
        event.preventDefault();
        acts.finishSignIn();
      }}
    >
      <fieldset class="picks">
        <legend>Name</legend>
        ${people.map(
          ({ id, name }) =>
            html`<label class="pick"
              ><input type="radio" name="person" .checked=${id === person} @change=${() => acts.signInAs(id)} /><span>${name}</span></label
            >`,
        )}
      </fieldset>
      <fieldset class="picks">
        <legend>This screen</legend>
        <label class="pick"
          ><input type="radio" name="own" .checked=${own} @change=${() => acts.own(true)} /><span
            >This phone is mine<small>nobody else answers from it</small></span
          ></label
        >
        <label class="pick"
          ><input type="radio" name="own" .checked=${!own} @change=${() => acts.own(false)} /><span
            >Shared screen<small>asks the PIN for gate words, second looks and the foreman's words</small></span
          ></label
        >
      </fieldset>
      ${asksPin ? padView(digits, (digit) => acts.press(digit), `PIN of ${picked?.name ?? ''}`) : nothing}
      ${why === '' ? nothing : html`<p class="refused" role="alert">${sign('triangle')}<span>${why}</span></p>`}
      <p class="keys">
        <button class="key main" type="submit" ?disabled=${busy || picked === null || (asksPin && digits === '')}>
          ${busy ? 'Asking' : picked === null ? 'Sign in' : `Sign in as ${picked.name}`}
        </button>
      </p>
    </form>
  </main>`;
}

/** Asks the speaker's PIN before a gate word or a second person's own look from a shared screen. */
export function pinView(scene: Scene, asked: PinAsked): TemplateResult {
  const { acts, state } = scene;
  const me = state.hello?.me?.name ?? '';
  const words = 'text' in asked.saying ? asked.saying.text : asked.saying.tap.says;
  return html`<main class="person">
    <form
      class="pin"
      role="dialog"
      aria-labelledby="pin-head"
      @submit=${(event: Event) => {
        event.preventDefault();
        acts.finishPin();
      }}
      @keydown=${(event: KeyboardEvent) => {
        if (event.key === 'Escape') acts.dropPin();
      }}
    >
      <h2 id="pin-head" tabindex="-1">${me}: your PIN</h2>
      <p>
        It seals <b class="sealed">${words}</b> in ${bayLabel(state, asked.saying.bay)}. This is a shared screen, so the
        one who answers for it proves it is them.
      </p>
      ${padView(asked.digits, (digit) => acts.press(digit), 'PIN')}
      ${asked.why === '' ? nothing : html`<p class="refused" role="alert">${sign('triangle')}<span>${asked.why}</span></p>`}
      <p class="keys">
        <button class="key main" type="submit" ?disabled=${asked.busy || asked.digits === ''}>
          ${asked.busy ? 'Asking' : 'Send it'}
        </button>
        <button class="key" type="button" @click=${() => acts.dropPin()}>Not now</button>
      </p>
    </form>
  </main>`;
}

const KEYS = ['1', '2', '3', '4', '5', '6', '7', '8', '9', 'clear', '0', 'back'] as const;

function padView(digits: string, press: (digit: string) => void, label: string): TemplateResult {
  return html`<div class="pad" role="group" aria-label=${label}>
    <p class="digits" aria-hidden="true">${'●'.repeat(digits.length)}${digits === '' ? 'PIN' : ''}</p>
    <p class="unseen" role="status">${digits.length} digits</p>
    <div class="pad-keys">
      ${KEYS.map(
        (key) =>
          html`<button class="key" type="button" @click=${() => press(key)}>
            ${key === 'clear' ? 'Clear' : key === 'back' ? 'Back' : key}
          </button>`,
      )}
    </div>
  </div>`;
}
