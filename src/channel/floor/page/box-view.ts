import { html, nothing, type TemplateResult } from 'lit-html';
import { live } from 'lit-html/directives/live.js';
import { sign } from './signs-view.js';
import type { ThreadId } from './state.js';
import { canSend, type Scene } from './ui.js';

export type BoxParts = {
  readonly thread: ThreadId;
  readonly bay: string | null;
  readonly label: string;
  /** Above the box where a gate asks for its word. */
  readonly gate: string | null;
  /** Beside the box, when nothing has chosen a bay yet. */
  readonly cannot: string | null;
  /** Keys above the box: the answers of the question. */
  readonly answers?: TemplateResult | typeof nothing;
  /** It does not stay at the thumb: nothing is asked here. */
  readonly still?: boolean;
};

/** The one text box of a screen with its send key. What was refused stays in it, with the reason above. */
export function boxView(
  scene: Scene,
  { thread, bay, label, gate, cannot, answers, still }: BoxParts,
): TemplateResult {
  const { state, ui, acts } = scene;
  const me = state.hello?.me ?? null;
  const refused = ui.refused.get(thread) ?? null;
  const sending = ui.sending.has(thread);
  const id = `box-${thread.replace(':', '-')}`;
  const text = scene.draft(thread);
  const why = cannot ?? (canSend(scene) ? null : cutWords(scene));
  const off = sending || why !== null || text.trim() === '';
  const shape = `box ${still === true ? 'box-still' : ''}`;
  // What somebody had typed waits until it is known who speaks.
  if (me === null && state.hello !== null)
    return html`<div class=${shape}><a class="key main sign-in" href="#/sign-in">Sign in to answer</a></div>`;
  return html`<form
    class=${shape}
    autocomplete="off"
    @submit=${(event: Event) => {
      event.preventDefault();
      if (bay !== null) acts.send(thread, bay);
    }}
  >
    ${
      refused === null
        ? nothing
        : html`<p class="refused" role="alert" id="${id}-why">
            ${sign('triangle')}<span><b>Not sent.</b> ${refused} Your words are still in the box.</span>
          </p>`
    }
    ${answers ?? nothing}
    <label for=${id}>
      ${
        gate === null
          ? html`<span class="speaker">${label}</span>`
          : html`<span class="gate-says"
              >This gate passes by its own word only, alone, typed or dictated here. No key passes it.</span
            ><span class="speaker">${label}</span>`
      }
    </label>
    <div class="box-row">
      <input
        id=${id}
        type="text"
        autocomplete="off"
        autocapitalize="off"
        autocorrect="off"
        spellcheck="false"
        enterkeyhint="send"
        maxlength="4000"
        aria-describedby=${refused === null ? nothing : `${id}-why`}
        .value=${live(text)}
        @input=${(event: Event) => acts.typed(thread, (event.target as HTMLInputElement).value)}
      />
      <button class="key main send ${off ? '' : 'rest'}" type="submit" ?disabled=${off || ui.resting}>
        ${sending ? 'Sending' : 'Send'}
      </button>
    </div>
    ${why === null ? nothing : html`<p class="box-why">${why}</p>`}
  </form>`;
}

function cutWords({ state }: Scene): string {
  return state.link.is === 'cut-off'
    ? 'Cut off: nothing is sent. Your words stay in the box.'
    : 'Catching up: nothing is sent yet.';
}

/** The camera of the phone, or a file. */
export function photoKey(scene: Scene, bay: string, wanted: boolean): TemplateResult {
  const busy = scene.ui.sending.has(`bay:${bay}`);
  const off = busy || !canSend(scene) || scene.state.hello?.me == null;
  return html`<label class="key photo-key ${wanted ? 'main' : ''} ${off ? 'off' : ''}">
    ${sign('camera')}<span>Photo</span>
    <input
      type="file"
      accept="image/jpeg,image/png,image/webp"
      capture="environment"
      ?disabled=${off || scene.ui.resting}
      @change=${(event: Event) => {
        const input = event.target as HTMLInputElement;
        const file = input.files?.[0];
        input.value = '';
        if (file !== undefined) scene.acts.photo(bay, file);
      }}
    />
  </label>`;
}
