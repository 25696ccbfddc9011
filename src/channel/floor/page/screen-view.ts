import { html, type TemplateResult } from 'lit-html';
import { boardView } from './board-view.js';
import { foremanView } from './foreman-view.js';
import { pinView, signInView } from './person-view.js';
import { picturesView } from './pictures-view.js';
import { sheetView } from './sheet-view.js';
import { startScreen } from './start-view.js';
import { bandsView, footView, topView } from './top-view.js';
import type { Scene } from './ui.js';

/** The whole screen: head with STOP, bands, the screen's own part, foot. */
export function screenView(scene: Scene): TemplateResult {
  return html`<div class="strip">${topView(scene)}${bandsView(scene)}</div>${mainView(scene)}${footView(scene)}`;
}

function mainView(scene: Scene): TemplateResult {
  const { route, pin } = scene.ui;
  if (pin !== null) return pinView(scene, pin);
  switch (route.is) {
    case 'board':
      return boardView(scene);
    case 'bay':
      return sheetView(scene, route.bay);
    case 'pictures':
      return picturesView(scene, route.bay);
    case 'foreman':
      return foremanView(scene);
    case 'start':
      return startScreen(scene);
    case 'sign-in':
      return signInView(scene);
  }
}
