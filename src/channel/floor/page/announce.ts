import { partsNow } from './now-view.js';
import { bayLabel, type PostEntry } from './state.js';
import type { Scene } from './ui.js';
import { speak } from './voice.js';
import { plain } from './words-view.js';

/** Cards are read out at once, whatever screen is open; a question only where it is the one on the screen. */
export function announce(scene: Scene, post: PostEntry): void {
  const lines = post.lines.map((one) => plain(one, scene.zone));
  const bay = bayLabel(scene.state, post.bay);
  if (post.kind === 'card') return speak(`${bay}: ${lines.join(' ')}`, 'urgent');
  const { route } = scene.ui;
  const here = post.thread === 'bay' && route.is === 'bay' && route.bay === post.bay;
  if (here && post.kind === 'question') {
    const parts = partsNow(scene, post.bay, post);
    const word = parts.word === null ? [] : [`Type or say ${parts.word}`];
    return speak(
      [...parts.tags, parts.tool ?? '', parts.head, ...parts.ask, ...word]
        .filter((one) => one !== '')
        .join('. '),
      'calm',
    );
  }
  if (here || (post.thread === 'foreman' && route.is === 'foreman')) speak(lines.join(' '), 'calm');
}
