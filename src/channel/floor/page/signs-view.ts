import { html, svg, type TemplateResult } from 'lit-html';
import type { Attention } from '../../../record/board.js';

/** Signs that tell states apart by shape, never by colour alone. Each has its word beside it. */

const PATHS = {
  octagon: svg`<path d="M7.5 1.5h9l6 6v9l-6 6h-9l-6-6v-9z"/>`,
  triangle: svg`<path d="M12 2 23 22H1z"/><path class="in" d="M11 9h2v6h-2zm0 8h2v2h-2z"/>`,
  bars: svg`<path d="M5 3h5v18H5zM14 3h5v18h-5z"/>`,
  arrow: svg`<path d="M4 3 20 12 4 21z"/>`,
  line: svg`<path d="M2 10.5h20v3H2z"/>`,
  empty: svg`<path d="M3 3h18v18H3zm3 3v12h12V6z" fill-rule="evenodd"/>`,
  camera: svg`<path d="M8 5 9.5 2.5h5L16 5h6v15H2V5zm4 3a4.6 4.6 0 1 0 0 9.2A4.6 4.6 0 0 0 12 8" fill-rule="evenodd"/>`,
} as const;

export type Sign = keyof typeof PATHS;

export function sign(name: Sign): TemplateResult {
  return html`<svg class="sign sign-${name}" viewBox="0 0 24 24" aria-hidden="true">${PATHS[name]}</svg>`;
}

export const SIGN_OF: Readonly<Record<Attention, Sign>> = { 3: 'octagon', 2: 'bars', 1: 'arrow', 0: 'line' };
