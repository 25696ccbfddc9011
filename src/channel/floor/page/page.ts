import { App } from './app.js';

/** The floor page: one screen at a time, drawn from what the live stream brought. */
const root = document.getElementById('page');
if (root === null) throw new Error('the page has no place to draw in');
new App(root).start();
